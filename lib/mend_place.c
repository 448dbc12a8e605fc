#include "mend_parts.h"

#include "print_words.h"

/* Where the steps lead, in place of the finish or the statement that clashes.
 */
marq_status marq_mend_stand(marq_mender *m)
{
    const marq_seen *seen = MARQ_AT(&m->f->seen, marq_seen, m->broke);
    const marq_marks *marks = marq_follow_marks_before(m->f, m->s, m->broke);
    marq_edit e = marq_mend_start(m, m->broke, MARQ_PRICE_EDIT_FORM);
    for (unsigned i = 0; i < MARQ_ARRIVALS * MARQ_BODIES; i++) {
        unsigned b = i % MARQ_BODIES;
        if (marks->facing[i / MARQ_BODIES][b] == 0) {
            continue;
        }
        marq_build text;
        marq_build_init(&text, m->arena);
        if (seen->role == MARQ_SEEN_STAND) {
            marq_build_text(&text, "now ");
        }
        marq_body_words(&text, (marq_body)b);
        e.text = marq_build_done(&text, NULL);
        memset(e.with.bodies, 0, sizeof e.with.bodies);
        e.with.bodies[b] = 1;
        e.with.has_bodies = true;
        e.with.faces = false;
        e.with.facings = MARQ_ANY_FACING;
        e.with.alignments = 0;
        e.label = e.text ? marq_mend_label(m, "write ", e.text) : NULL;
        marq_status status =
            e.label == NULL ? MARQ_MEMORY : marq_mend_offer(m, &e);
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

/* Offers one facing or alignment in place of those written apart from a
 * step's own marks. */
static marq_status offer_facing(marq_mender *m, size_t stage, marq_span span,
                                uint8_t facings, uint8_t alignments,
                                const char *head, const char *words)
{
    marq_edit e = marq_mend_start(m, stage, MARQ_PRICE_EDIT_FORM);
    e.span = span;
    e.site = marq_mend_site(stage, MARQ_SITE_WHOLE + 1);
    if (e.with.kind == MARQ_STAGE_STEP) {
        e.with.demand.facings = facings;
        e.with.demand.alignments = alignments;
    } else {
        e.with.facings = facings;
        e.with.alignments = alignments;
    }
    e.text = marq_mend_label(m, head, words);
    e.label = e.text ? marq_mend_label(m, "write ", e.text) : NULL;
    return e.label == NULL ? MARQ_MEMORY : marq_mend_offer(m, &e);
}

marq_status marq_mend_facing(marq_mender *m, size_t stage)
{
    const marq_seen *seen = MARQ_AT(&m->f->seen, marq_seen, stage);
    const marq_stand *stand = seen->facing;
    if (seen->role == MARQ_SEEN_FINISH) {
        stand = &m->f->tree->finish;
    }
    if (stand == NULL || stand->facing_span.to == stand->facing_span.from) {
        return MARQ_OK;
    }
    marq_status status = MARQ_OK;
    for (unsigned a = MARQ_EN_FACE; a <= MARQ_ECARTE && status == MARQ_OK;
         a++) {
        status = offer_facing(m, stage, stand->facing_span, MARQ_ANY_FACING,
                              (uint8_t)(1u << a), "",
                              marq_alignment_words((marq_alignment)a));
    }
    for (unsigned x = 0; x < MARQ_FACINGS && status == MARQ_OK; x++) {
        status = offer_facing(m, stage, stand->facing_span, (uint8_t)(1u << x),
                              0, "facing ", marq_facing_words((marq_facing)x));
    }
    return status;
}

/* Keeps another start if the stretch then goes past its break. */
static marq_status offer_start(marq_mender *m, marq_body body)
{
    const marq_stand *start = &m->f->tree->start;
    marq_front now;
    marq_front_clear(&now);
    for (unsigned x = 0; x < MARQ_FACINGS; x++) {
        marq_cell cell = {MARQ_STILL, body, (marq_facing)x};
        unsigned facings =
            start->alignments == 0 || marq_facings_upstage(start->facings)
                ? start->facings
                : 0;
        for (unsigned a = 0; a < MARQ_ALIGNMENTS; a++) {
            if ((start->alignments >> a) & 1u) {
                facings |= start->facings &
                           marq_alignment_facings((marq_alignment)a, body);
            }
        }
        if ((facings >> x) & 1u) {
            marq_front_put(&now, cell, 0);
        }
    }
    size_t reached = m->s->first;
    marq_status status = MARQ_OK;
    bool more = m->tried < m->f->vocab->limits.corrections;
    if (more && !marq_front_empty(&now)) {
        m->tried++;
        status = marq_mend_carry(m, &now, m->s->first, m->goal, &reached);
    }
    if (status != MARQ_OK || reached < m->goal || reached <= m->broke) {
        return status;
    }
    marq_build text;
    marq_build_init(&text, m->arena);
    marq_body_words(&text, body);
    if (start->facing_span.to > start->facing_span.from) {
        marq_build_text(&text, ", ");
        marq_print_source(&text, m->f->tree, start->facing_span, false);
    }
    marq_edit *e = marq_array_add(&m->edits);
    if (e == NULL) {
        return MARQ_MEMORY;
    }
    *e = marq_mend_start(m, m->s->first, MARQ_PRICE_EDIT_FORM);
    e->stage = SIZE_MAX; /* followed already */
    e->site = SIZE_MAX;
    e->rank = (uint32_t)m->edits.count;
    e->span = start->span;
    e->text = marq_build_done(&text, NULL);
    e->label = e->text ? marq_mend_label(m, "start in ", e->text) : NULL;
    return e->label == NULL ? MARQ_MEMORY : MARQ_OK;
}

/* The written start in another position or with the other foot in front. */
marq_status marq_mend_begin(marq_mender *m)
{
    static const uint8_t positions[] = {MARQ_FIFTH, MARQ_FIRST, MARQ_FOURTH,
                                        MARQ_SECOND};
    const marq_stand *start = &m->f->tree->start;
    if (!m->s->opens_text || !m->s->start_written) {
        return MARQ_OK;
    }
    for (size_t i = 0; i < sizeof positions; i++) {
        for (int s = MARQ_SIDE_RIGHT; s <= MARQ_SIDE_LEFT; s++) {
            marq_position position = (marq_position)positions[i];
            marq_body body = marq_body_two(position, (marq_side)s);
            bool twice = position < MARQ_THIRD && s == MARQ_SIDE_LEFT;
            if (start->bodies[body] || twice) {
                continue;
            }
            marq_status status = offer_start(m, body);
            if (status != MARQ_OK) {
                return status;
            }
        }
    }
    return MARQ_OK;
}
