/* parse_near.c - misspelt words: taken when one meaning is very near, named
 * when something is.
 *
 * Comparing a word costs a walk over all forms, so only the first
 * MARQ_NEAR_WORDS_MOST different unknown words of a text are compared. */
#include "parse_parts.h"

#define SHORTEST   5u  /* letters; shorter words are never taken for others */
#define LONG       8u  /* from here two letters may be wrong */
#define ONE_LETTER 10u /* marq_near.distance */
#define CLEAR_BY   6u  /* the second best must be so much farther */

static bool may_be_taken(const marq_parser *p, const marq_near *near,
                         size_t count, size_t letters)
{
    uint32_t most = letters < LONG ? ONE_LETTER : 2 * ONE_LETTER;
    const char *text = p->data->strings + near[0].form->text;
    return near[0].distance <= most && strlen(text) >= SHORTEST &&
           (count < 2 || near[1].distance >= near[0].distance + CLEAR_BY) &&
           (marq_form_is(p->data, near[0].form, MARQ_ROLE_TERM, NULL) ||
            marq_form_is(p->data, near[0].form, MARQ_ROLE_QUALIFIER, NULL));
}

/* The slot of the words at [from, to), found or free. */
static marq_near_memo *find_memo(const marq_parser *p, uint32_t from,
                                 uint32_t to, uint32_t hash)
{
    const char *s = p->text.bytes;
    /* At most half of the slots are ever taken. */
    for (size_t i = hash;; i++) {
        marq_near_memo *memo = &p->near[i & (p->near_slots - 1)];
        if (memo->from == memo->to ||
            (memo->hash == hash && memo->to - memo->from == to - from &&
             memcmp(s + memo->from, s + from, to - from) == 0)) {
            return memo;
        }
    }
}

/* Room for one more.  False when memory ends. */
static bool grow_memos(marq_parser *p)
{
    marq_near_memo *old = p->near, *more;
    size_t slots = p->near_slots, wanted = slots ? 2 * slots : 64;
    if (2 * p->near_count < slots) {
        return true;
    }
    more = marq_arena_alloc(&p->scratch, wanted, sizeof *more);
    if (!more) {
        marq_parse_fail(p, MARQ_MEMORY);
        return false;
    }
    p->near = more;
    p->near_slots = wanted;
    for (size_t i = 0; i < slots; i++) {
        if (old[i].from != old[i].to) {
            *find_memo(p, old[i].from, old[i].to, old[i].hash) = old[i];
        }
    }
    return true;
}

const marq_form *marq_parse_near(marq_parser *p, uint32_t from, uint32_t to)
{
    marq_near near[2];
    marq_near_memo *memo;
    size_t letters = 0, count;
    uint32_t hash;
    for (uint32_t i = from; i < to; i++) {
        letters += p->text.bytes[i] != ' ' && p->text.bytes[i] != '-';
    }
    if (letters < SHORTEST || to - from > MARQ_FORM_BYTES_MOST ||
        p->near_count == MARQ_NEAR_WORDS_MOST || !grow_memos(p)) {
        return NULL;
    }
    hash = marq_form_hash(p->text.bytes + from, to - from);
    memo = find_memo(p, from, to, hash);
    if (memo->from != memo->to) {
        return memo->form;
    }
    p->near_count++;
    count = marq_word_near(p->data, MARQ_ROLES, p->text.bytes + from, to - from,
                           near, 2);
    *memo = (marq_near_memo){hash, from, to, NULL};
    if (count > 0 && may_be_taken(p, near, count, letters)) {
        memo->form = near[0].form;
    }
    return memo->form;
}

void marq_parse_tell_near(marq_parser *p, marq_lexeme *lex)
{
    if (!lex->near) {
        return;
    }
    lex->near = false;
    marq_span span = marq_parse_span(p, lex->from, lex->to);
    const char *shown = p->data->strings + lex->form->shown;
    marq_finding *f;
    if (marq_parse_note(p, &f, MARQ_DIAG_NEAR_WORD, span,
                        marq_parse_quote(p, span), shown) &&
        f &&
        marq_finding_fix(p->findings, f, span, shown, "the usual spelling",
                         MARQ_CERTAIN) != MARQ_OK) {
        marq_parse_fail(p, MARQ_MEMORY);
    }
}

/* A word one would mean, not one that is itself only talk. */
static bool has_meaning(const marq_parser *p, const marq_form *form)
{
    static const uint8_t roles[] = {
        MARQ_ROLE_TERM,   MARQ_ROLE_QUALIFIER, MARQ_ROLE_FOOT,
        MARQ_ROLE_SIDE,   MARQ_ROLE_POSITION,  MARQ_ROLE_FREE,
        MARQ_ROLE_FACING, MARQ_ROLE_ALIGNMENT,
    };
    for (size_t i = 0; i < sizeof roles; i++) {
        if (marq_form_is(p->data, form, (marq_role)roles[i], NULL)) {
            return true;
        }
    }
    return false;
}

/* Steps are offered as corrections, for one of them may be meant; beside a
 * step the nearest word is only named: whether it would be read there is not
 * known. */
void marq_parse_name_near(marq_parser *p, marq_finding *f, marq_span span,
                          uint32_t from, uint32_t to, bool terms)
{
    marq_near near[MARQ_FIXES_MOST];
    size_t count;
    if (!f || p->near_named == MARQ_NEAR_NAMED_MOST || to - from < 4) {
        return;
    }
    p->near_named++;
    count =
        marq_word_near(p->data, terms ? MARQ_ROLE_TERM : MARQ_ROLES,
                       p->text.bytes + from, to - from, near, MARQ_FIXES_MOST);
    for (size_t i = 0; i < count && p->status == MARQ_OK; i++) {
        const char *shown = p->data->strings + near[i].form->shown;
        marq_build label;
        const char *text;
        if (near[i].distance == 0 || !has_meaning(p, near[i].form)) {
            continue; /* the word itself, known and in a strange place */
        }
        marq_build_init(&label, &p->scratch);
        marq_build_text(&label, "near it: ");
        marq_build_text(&label, shown);
        text = marq_build_done(&label, NULL);
        marq_status status = text ? MARQ_OK : MARQ_MEMORY;
        if (text && !*f->label) {
            status = marq_finding_label(p->findings, f, text);
        }
        if (status == MARQ_OK && terms) {
            status = marq_finding_fix(p->findings, f, span, shown, text,
                                      count == 1 ? MARQ_LIKELY
                                                 : MARQ_ONE_OF_SEVERAL);
        }
        if (status != MARQ_OK) {
            marq_parse_fail(p, status);
        }
    }
}
