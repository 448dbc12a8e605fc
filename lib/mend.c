#include "mend_parts.h"

#include "parse.h"

/* ---- trying ---- */

/* Follows stages [from, to) of the stretch from *now; returns how far. */
marq_status marq_mend_carry(marq_mender *m, marq_front *now, size_t from,
                            size_t to, size_t *reached)
{
    *reached = from;
    while (*reached < to) {
        marq_front next;
        marq_status status = marq_reach_forward(
            &m->f->reach, now,
            &MARQ_AT(&m->f->seen, marq_seen, *reached)->stage, false, &next,
            NULL);
        if (status != MARQ_OK) {
            return status;
        }
        if (marq_front_empty(&next)) {
            return MARQ_OK;
        }
        *now = next;
        (*reached)++;
    }
    return MARQ_OK;
}

/* How far the stretch goes with an marq_edit made, `to` at most. */
static marq_status try_edit(marq_mender *m, const marq_edit *e, size_t to,
                            size_t *reached)
{
    marq_front now = *marq_follow_before(m->f, m->s, e->stage);
    marq_front next;
    marq_arena *keep = m->f->reach.arena;
    marq_arena_reset(&m->scratch);
    m->f->reach.arena = &m->scratch;
    m->tried++;
    *reached = e->stage;
    marq_status status = MARQ_OK;
    bool alive = true;
    if (!e->left_out) {
        status = marq_reach_forward(&m->f->reach, &now, &e->with, false, &next,
                                    NULL);
        alive = status == MARQ_OK && !marq_front_empty(&next);
        now = next;
    }
    if (alive) {
        status = marq_mend_carry(m, &now, e->put_in ? e->stage : e->stage + 1,
                                 to, reached);
    }
    m->f->reach.arena = keep;
    return status;
}

/* The furthest any mend of the broken stage could carry: as if it could end
 * anywhere. */
static marq_status find_goal(marq_mender *m)
{
    marq_front now;
    marq_front_clear(&now);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            for (unsigned x = 0; x < MARQ_FACINGS; x++) {
                marq_cell cell = {(uint8_t)k, (marq_body)b, (marq_facing)x};
                marq_front_put(&now, cell, 0);
            }
        }
    }
    marq_arena *keep = m->f->reach.arena;
    m->f->reach.arena = &m->scratch;
    marq_status status =
        marq_mend_carry(m, &now, m->broke + 1, m->s->end, &m->goal);
    m->f->reach.arena = keep;
    return status;
}

/* Keeps an marq_edit if it carries past the break as far as it is tried. */
marq_status marq_mend_offer(marq_mender *m, const marq_edit *e)
{
    size_t to =
        m->goal < m->broke + MARQ_LOOK_ON ? m->goal : m->broke + MARQ_LOOK_ON;
    size_t reached;
    if (m->tried >= m->f->vocab->limits.corrections) {
        return MARQ_OK;
    }
    marq_status status = try_edit(m, e, to, &reached);
    if (status != MARQ_OK || reached < to || reached <= m->broke) {
        return status;
    }
    for (size_t i = 0; i < m->edits.count; i++) {
        marq_edit *other = MARQ_AT(&m->edits, marq_edit, i);
        if (other->span.from == e->span.from && other->span.to == e->span.to &&
            strcmp(other->text, e->text) == 0) {
            return MARQ_OK;
        }
    }
    marq_edit *kept = marq_array_add(&m->edits);
    if (kept == NULL) {
        return MARQ_MEMORY;
    }
    *kept = *e;
    kept->rank = (uint32_t)m->edits.count;
    return MARQ_OK;
}

/* ---- reading it again ---- */

/* Texts up to this long are read again whole with each correction that is to
 * be offered; in longer ones the trial over the stages stands alone. */
#define READ_AGAIN_MOST ((size_t)64 << 10)

static const char *edited_text(marq_arena *arena, const marq_source *source,
                               marq_span span, const char *text, size_t *length)
{
    marq_build b;
    marq_build_init(&b, arena);
    marq_build_bytes(&b, source->bytes, span.from);
    marq_build_text(&b, text);
    marq_build_bytes(&b, source->bytes + span.to, source->length - span.to);
    return marq_build_done(&b, length);
}

/* Reads and follows the text of `f` with one span written otherwise, in
 * `scratch`. */
static marq_status follow_edited(marq_following *again, marq_arena *scratch,
                                 const marq_following *f, marq_span span,
                                 const char *text)
{
    size_t length;
    const char *bytes =
        edited_text(scratch, f->tree->source, span, text, &length);
    marq_source *source = marq_arena_alloc(scratch, 1, sizeof *source);
    marq_tree *tree = marq_arena_alloc(scratch, 1, sizeof *tree);
    marq_findings findings;
    if (bytes == NULL || source == NULL || tree == NULL) {
        return MARQ_MEMORY;
    }
    marq_findings_init(&findings, scratch, 0);
    marq_status status = marq_source_init(source, scratch, NULL, bytes, length);
    if (status == MARQ_OK) {
        status = marq_parse(tree, scratch, f->vocab, source, &findings);
    }
    if (status == MARQ_OK) {
        status = marq_follow(again, scratch, f->vocab, tree, &findings);
    }
    return status;
}

/* Which stretch of the text this is. */
static size_t stretch_number(const marq_mender *m)
{
    return (size_t)(m->s - (const marq_stretch *)m->f->stretches.at);
}

/* Is the text with the edit read as meant: danced past the break, as far as
 * any mend of it could go, with no new clash at the start? */
static bool mended_in(const marq_mender *m, const marq_edit *e,
                      const marq_following *again)
{
    size_t number = stretch_number(m);
    if (number >= again->stretches.count ||
        (again->start_clash && !m->f->start_clash)) {
        return false;
    }
    const marq_stretch *s = MARQ_AT(&again->stretches, marq_stretch, number);
    if (m->goal == m->s->end) {
        return s->broken == MARQ_BREAK_NONE;
    }
    size_t goal = m->goal - m->s->first + e->put_in - e->left_out;
    return s->broken == MARQ_BREAK_NONE || s->reached - s->first >= goal;
}

static marq_status read_again(marq_mender *m, const marq_edit *e, bool *good)
{
    *good = true;
    if (m->f->tree->source->length > READ_AGAIN_MOST) {
        return MARQ_OK;
    }
    marq_arena_reset(&m->scratch);
    marq_following again;
    marq_status status =
        follow_edited(&again, &m->scratch, m->f, e->span, e->text);
    if (status == MARQ_OK) {
        *good = mended_in(m, e, &again);
    }
    return status;
}

/* ---- the best three ---- */

/* Cheapest first; among those of one price a place in the text not yet
 * touched by what has been offered; then the nearest to the break. */
static bool better(const marq_edit *a, const marq_edit *b, const size_t *sites,
                   size_t site_count)
{
    bool a_again = false, b_again = false;
    if (a->price != b->price) {
        return a->price < b->price;
    }
    for (size_t i = 0; i < site_count; i++) {
        a_again |= sites[i] == a->site;
        b_again |= sites[i] == b->site;
    }
    if (a_again != b_again) {
        return b_again;
    }
    if (a->distance != b->distance) {
        return a->distance < b->distance;
    }
    if (a->custom != b->custom) {
        return a->custom < b->custom;
    }
    return a->rank < b->rank;
}

static marq_status hand_over(marq_mender *m, marq_findings *findings,
                             marq_finding *finding)
{
    size_t count = m->edits.count;
    size_t given = 0;
    size_t sites[MARQ_FIXES_MOST];
    uint32_t first_price = 0, same_price = 0;
    for (size_t i = 0; i < count; i++) {
        const marq_edit *e = MARQ_AT(&m->edits, marq_edit, i);
        if (i == 0 || e->price < first_price) {
            first_price = e->price;
            same_price = 0;
        }
        same_price += e->price == first_price;
    }
    while (given < MARQ_FIXES_MOST && count > 0) {
        size_t best = 0;
        for (size_t i = 1; i < count; i++) {
            if (better(MARQ_AT(&m->edits, marq_edit, i),
                       MARQ_AT(&m->edits, marq_edit, best), sites, given)) {
                best = i;
            }
        }
        marq_edit e = *MARQ_AT(&m->edits, marq_edit, best);
        *MARQ_AT(&m->edits, marq_edit, best) =
            *MARQ_AT(&m->edits, marq_edit, --count);
        size_t reached = m->goal;
        marq_status status = MARQ_OK;
        if (e.stage != SIZE_MAX && m->goal > m->broke + MARQ_LOOK_ON) {
            status = try_edit(m, &e, m->goal, &reached);
        }
        bool good = false;
        if (status == MARQ_OK && reached >= m->goal) {
            status = read_again(m, &e, &good);
        }
        if (status == MARQ_OK && good) {
            marq_confidence sure = MARQ_ONE_OF_SEVERAL;
            if (e.price == first_price && same_price == 1) {
                sure = MARQ_CERTAIN;
            } else if (given == 0) {
                sure = MARQ_LIKELY;
            }
            status = marq_finding_fix(findings, finding, e.span, e.text,
                                      e.label, sure);
            sites[given++] = e.site;
        }
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

marq_status marq_mend_break(marq_following *f, marq_arena *arena,
                            const marq_stretch *s, marq_findings *findings,
                            marq_finding *finding)
{
    if (s->broken == MARQ_BREAK_NONE || finding == NULL) {
        return MARQ_OK;
    }
    marq_mender m = {.f = f, .arena = arena, .s = s, .broke = s->reached};
    marq_arena_init(&m.scratch, arena->mem);
    marq_array_init(&m.edits, arena, sizeof(marq_edit));
    marq_status status = find_goal(&m);
    if (status == MARQ_OK && m.goal <= m.broke) {
        m.goal = m.broke + 1;
    }
    if (status == MARQ_OK) {
        status = marq_mend_collect(&m);
    }
    if (status == MARQ_OK) {
        status = hand_over(&m, findings, finding);
    }
    marq_arena_free(&m.scratch);
    return status;
}

/* ---- a start that cannot be ---- */

/* "front left corner, croisé" for a facing and the name it then has. */
static marq_status offer_name(const marq_following *f, marq_arena *scratch,
                              marq_facing facing, marq_alignment name,
                              marq_findings *findings, marq_finding *finding)
{
    marq_build b;
    marq_following again;
    marq_span span = f->tree->start.facing_span;
    marq_build_init(&b, scratch);
    marq_build_text(&b, marq_facing_words(facing));
    marq_build_text(&b, ", ");
    marq_build_text(&b, marq_alignment_words(name));
    const char *text = marq_build_done(&b, NULL);
    if (text == NULL) {
        return MARQ_MEMORY;
    }
    marq_status status = follow_edited(&again, scratch, f, span, text);
    if (status != MARQ_OK || again.start_clash) {
        return status;
    }
    marq_build_init(&b, scratch);
    marq_build_text(&b, "write ");
    marq_build_text(&b, text);
    const char *label = marq_build_done(&b, NULL);
    return label == NULL ? MARQ_MEMORY
                         : marq_finding_fix(findings, finding, span, text,
                                            label, MARQ_LIKELY);
}

marq_status marq_mend_start_clash(const marq_following *f,
                                  marq_findings *findings,
                                  marq_finding *finding)
{
    const marq_stand *start = &f->tree->start;
    marq_status status = MARQ_OK;
    if (finding == NULL || f->tree->source->length > READ_AGAIN_MOST) {
        return MARQ_OK;
    }
    for (unsigned i = 0; i < MARQ_BODIES * MARQ_FACINGS; i++) {
        marq_body body = (marq_body)(i / MARQ_FACINGS);
        marq_facing facing = (marq_facing)(i % MARQ_FACINGS);
        marq_alignment name = marq_alignment_of(body, facing);
        if (!start->bodies[body] || !((start->facings >> facing) & 1u) ||
            start->facings == MARQ_ANY_FACING || name == MARQ_ALIGNMENTS) {
            continue;
        }
        marq_arena scratch;
        marq_arena_init(&scratch, findings->arena->mem);
        status = offer_name(f, &scratch, facing, name, findings, finding);
        marq_arena_free(&scratch);
        if (status != MARQ_OK) {
            break;
        }
    }
    return status;
}
