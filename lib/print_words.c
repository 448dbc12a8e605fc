#include "print_words.h"

#include "text.h"
#include "word.h"

/* ---- small words ---- */

static const char *foot_words(uint16_t foot)
{
    static const char *const words[] = {
        "",        "right", "left", "front",  "back",    "free", "standing",
        "working", "same",  "other", "inside", "outside",
    };
    return foot < sizeof words / sizeof words[0] ? words[foot] : "";
}

const char *marq_print_operator_words(uint8_t op)
{
    static const char *const words[] = {
        "",         "repeat",   "other side", "reverse", "one side only",
        "unsquare", "en croix", "alternate",
    };
    return op < sizeof words / sizeof words[0] ? words[op] : "";
}

static void print_amount(marq_build *out, uint16_t eighths)
{
    static const struct {
        uint16_t eighths;
        const char *words;
    } amounts[] = {
        {2, "quarter"}, {4, "half"},    {6, "three quarters"},
        {8, "single"},  {16, "double"}, {24, "triple"},
    };
    for (size_t i = 0; i < sizeof amounts / sizeof amounts[0]; i++) {
        if (amounts[i].eighths == eighths) {
            marq_build_text(out, amounts[i].words);
            return;
        }
    }
    marq_build_number(out, eighths);
    marq_build_text(out, " eighths");
}

static bool is_digit_at(const char *bytes, uint32_t i)
{
    return bytes[i] >= '0' && bytes[i] <= '9';
}

/* Says the writer "wall" before the last number of the span?  *found: there is
 * a number. */
static bool says_wall(const marq_tree *tree, marq_span span, bool *found)
{
    *found = false;
    if (tree == NULL || tree->source == NULL ||
        span.to > tree->source->length) {
        return false;
    }
    const char *bytes = tree->source->bytes;
    uint32_t i = span.to;
    while (i > span.from && !is_digit_at(bytes, i - 1)) {
        i--;
    }
    *found = i > span.from;
    while (i > span.from &&
           (is_digit_at(bytes, i - 1) || bytes[i - 1] == ' ')) {
        i--;
    }
    bool wall = i >= span.from + 4 && (bytes[i - 4] | 32) == 'w' &&
                (bytes[i - 3] | 32) == 'a' && (bytes[i - 2] | 32) == 'l';
    bool mur = i >= span.from + 3 && (bytes[i - 3] | 32) == 'm' &&
               (bytes[i - 2] | 32) == 'u' && (bytes[i - 1] | 32) == 'r';
    return wall || mur;
}

/* A bare number belongs to a school; only whether the writer said wall or
 * corner is looked up, in the narrower of two spans that has a number. */
static void print_numbered(marq_build *out, const marq_tree *tree,
                           marq_span span, marq_span wider, uint16_t number)
{
    bool found;
    bool wall = says_wall(tree, span, &found);
    if (!found) {
        wall = says_wall(tree, wider, &found);
    }
    marq_build_text(out, wall ? "wall " : "corner ");
    marq_build_number(out, number);
}

static void print_position(marq_build *out, uint16_t position)
{
    if (position < MARQ_POSITIONS) {
        marq_build_text(out, marq_position_name((marq_position)position));
    }
}

static bool carries(const marq_vocab_data *data, unsigned term,
                    unsigned qualifier)
{
    if (term >= data->term_count) {
        return false;
    }
    const marq_term *t = &data->terms[term];
    for (unsigned i = 0; i < t->variant_count; i++) {
        if (marq_tag_has(data->variants[t->first_variant + i].tags,
                         qualifier)) {
            return true;
        }
    }
    return false;
}

/* Would "to second" beside this term be à la seconde? */
static bool is_seconde(const marq_vocab_data *data, unsigned term,
                       unsigned position)
{
    for (unsigned q = 0; q < data->qualifier_count; q++) {
        if (data->qualifiers[q].position == position &&
            carries(data, term, q)) {
            return true;
        }
    }
    return false;
}

/* Is a form of this qualifier read as nothing else? */
static bool is_plain_form(const marq_vocab_data *data, const marq_form *form,
                          unsigned qualifier)
{
    bool found = false;
    for (unsigned i = 0; i < form->sense_count; i++) {
        const marq_sense *sense = &data->senses[form->first_sense + i];
        if (sense->role != MARQ_ROLE_QUALIFIER) {
            return false;
        }
        found = found || sense->id == qualifier;
    }
    return found;
}

/* Beside a term that has no such form a word like "fondu" would be a step:
 * then a form that is nothing but the qualifier is written ("en fondu"). */
static const char *qualifier_words(const marq_vocab_data *data,
                                   unsigned qualifier, unsigned term)
{
    const char *name = marq_qualifier_beside(data, qualifier, term);
    const char *other = NULL;
    if (carries(data, term, qualifier)) {
        return name;
    }
    for (size_t i = 0; i < data->form_count; i++) {
        const marq_form *form = &data->forms[i];
        if (is_plain_form(data, form, qualifier)) {
            const char *shown = data->strings + form->shown;
            if (strcmp(shown, name) == 0) {
                return name;
            }
            other = other ? other : shown;
        }
    }
    return other ? other : name;
}

void marq_print_mark_words(marq_build *out, const marq_vocab *vocab,
                           const marq_tree *tree, const marq_mark *mark,
                           unsigned term)
{
    const marq_vocab_data *data = vocab->data;
    uint16_t value = mark->value;
    switch ((marq_mark_kind)mark->kind) {
    case MARQ_MARK_QUALIFIER:
        if (value < data->qualifier_count) {
            marq_build_text(out, qualifier_words(data, value, term));
        }
        break;
    case MARQ_MARK_FOOT:
        marq_build_text(out, foot_words(value));
        marq_build_text(out, " foot");
        break;
    case MARQ_MARK_ON:
        marq_build_text(out, "on the ");
        marq_build_text(out, foot_words(value));
        marq_build_text(out, value > MARQ_FOOT_LEFT ? " foot" : "");
        break;
    case MARQ_MARK_SIDE:
        marq_build_text(out, foot_words(value));
        break;
    case MARQ_MARK_TOWARD:
        marq_build_text(out, "to the ");
        marq_build_text(out, foot_words(value));
        break;
    case MARQ_MARK_FROM:
        marq_build_text(out, "from ");
        print_position(out, value);
        break;
    case MARQ_MARK_TO:
        marq_build_text(out, is_seconde(data, term, value) ? "ending in "
                                                           : "to ");
        print_position(out, value);
        break;
    case MARQ_MARK_IN:
        marq_build_text(out, "in ");
        print_position(out, value);
        break;
    case MARQ_MARK_TO_FREE:
        if (value < data->free_word_count) {
            marq_build_text(out, "to ");
            marq_build_text(out,
                            marq_string(vocab, data->free_words[value].name));
        }
        break;
    case MARQ_MARK_FRONT:
        marq_build_text(out, foot_words(value));
        marq_build_text(out, " front");
        break;
    case MARQ_MARK_CLOSING:
        marq_build_text(out, value == MARQ_DEVANT ? "closing front"
                                                  : "closing back");
        break;
    case MARQ_MARK_FACING:
        marq_build_text(out, "facing ");
        marq_build_text(out, marq_facing_words((marq_facing)value));
        break;
    case MARQ_MARK_NUMBERED:
        marq_build_text(out, "facing ");
        print_numbered(out, tree, mark->span, mark->span, value);
        break;
    case MARQ_MARK_ALIGNMENT:
        if (value < MARQ_ALIGNMENTS) {
            marq_build_text(out, marq_alignment_words((marq_alignment)value));
        }
        break;
    case MARQ_MARK_AMOUNT:
        print_amount(out, value);
        break;
    case MARQ_MARK_LENGTH:
        marq_build_text(out, "in ");
        marq_build_number(out, value);
        marq_build_text(out, value == 1 ? " count" : " counts");
        break;
    case MARQ_MARK_REMARK:
    case MARQ_MARKS:
        break;
    }
}

/* ---- what would be read as one ---- */

#define WORDS_MOST 16u /* of a form: none has as many */

/* Words of folded text; returns how many. */
static size_t cut_words(marq_word *words, const char *text, size_t length)
{
    size_t count = 0, i = 0;
    while (count < WORDS_MOST) {
        uint8_t before = MARQ_GAP_SPACE;
        while (i < length && (text[i] == ' ' || text[i] == '-')) {
            before = text[i] == '-' ? MARQ_GAP_HYPHEN : before;
            i++;
        }
        if (i == length) {
            break;
        }
        words[count].from = (uint32_t)i;
        while (i < length && text[i] != ' ' && text[i] != '-') {
            i++;
        }
        words[count].to = (uint32_t)i;
        words[count].before = before;
        count++;
    }
    return count;
}

marq_status marq_print_heads(bool *out, marq_arena *scratch,
                             const marq_vocab *vocab, const char *text)
{
    marq_folded folded;
    marq_word words[WORDS_MOST];
    size_t used = 0;
    if (marq_text_fold(&folded, scratch, text, strlen(text), NULL) !=
        MARQ_OK) {
        return MARQ_MEMORY;
    }
    size_t count = cut_words(words, folded.bytes, folded.length);
    const marq_form *form =
        count > 0 ? marq_word_longest(vocab->data, &folded, words, count, 0,
                                      &used)
                  : NULL;
    *out = form && marq_form_is(vocab->data, form, MARQ_ROLE_HEADING, NULL);
    return MARQ_OK;
}

marq_status marq_print_runs_on(bool *out, marq_arena *scratch,
                               const marq_vocab *vocab, const char *name,
                               const char *text)
{
    marq_folded folded;
    marq_word words[WORDS_MOST];
    size_t used = 0, length;
    const char *first = marq_text_fold_string(scratch, name, strlen(name));
    if (first == NULL || marq_text_fold(&folded, scratch, text, strlen(text),
                                        NULL) != MARQ_OK) {
        return MARQ_MEMORY;
    }
    length = cut_words(words, first, strlen(first));
    size_t count = cut_words(words, folded.bytes, folded.length);
    *out = marq_word_longest(vocab->data, &folded, words, count, 0, &used) &&
           used > length;
    return MARQ_OK;
}

/* ---- stands ---- */

/* What can be said of a stance: a position or where the free leg is, which
 * foot stands, which is in front. */
typedef struct stance {
    marq_position position; /* MARQ_POSITIONS: not said */
    marq_side front, standing;
    size_t free; /* index of a free word; SIZE_MAX: not said */
} stance;

static void allow_one_foot(uint8_t *bodies, const stance *s,
                           marq_free_mask mask)
{
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        marq_body body = (marq_body)b;
        if (!marq_body_is_two(body) &&
            (mask & MARQ_FREE(marq_body_shape(body),
                              marq_body_where(body))) &&
            (s->standing == MARQ_SIDE_NONE ||
             s->standing == marq_body_standing(body)) &&
            (s->front == MARQ_SIDE_NONE ||
             s->front == marq_body_front(body))) {
            bodies[b] = 1;
        }
    }
}

static void allow_position(uint8_t *bodies, const stance *s,
                           marq_print_use use)
{
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        marq_body body = (marq_body)b;
        if (!marq_body_is_two(body) ||
            (s->front != MARQ_SIDE_NONE && s->position >= MARQ_THIRD &&
             s->front != marq_body_front(body))) {
            continue;
        }
        marq_position p = marq_body_position(body);
        if (p == s->position || (p == MARQ_TIPS && use != MARQ_PRINT_START &&
                                 s->position == MARQ_FIFTH)) {
            bodies[b] = 1;
        }
    }
}

/* The bodies a stance allows when it is read (parse_stand.c). */
static void allow_bodies(uint8_t *bodies, const marq_vocab *vocab,
                         const stance *s, marq_print_use use)
{
    memset(bodies, 0, MARQ_BODIES);
    if (s->position < MARQ_POSITIONS && s->standing == MARQ_SIDE_NONE) {
        allow_position(bodies, s, use);
    } else if (s->position == MARQ_SECOND) {
        allow_one_foot(bodies, s, MARQ_FREE(MARQ_A_TERRE, MARQ_SIDE));
    } else if (s->position == MARQ_FOURTH) {
        allow_one_foot(bodies, s,
                       MARQ_FREE(MARQ_A_TERRE, MARQ_DEVANT) |
                           MARQ_FREE(MARQ_A_TERRE, MARQ_DERRIERE));
    } else if (s->free != SIZE_MAX) {
        allow_one_foot(bodies, s, vocab->data->free_words[s->free].mask);
    } else if (s->standing != MARQ_SIDE_NONE) {
        allow_one_foot(bodies, s, MARQ_FREE_ANY);
    } else { /* "right front" in the middle of a text */
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            bodies[b] = marq_body_front((marq_body)b) == s->front;
        }
    }
}

static bool says_just(const marq_vocab *vocab, const stance *s,
                      marq_print_use use, const marq_stand *stand)
{
    uint8_t bodies[MARQ_BODIES];
    allow_bodies(bodies, vocab, s, use);
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        if ((bodies[b] != 0) != (stand->bodies[b] != 0)) {
            return false;
        }
    }
    return true;
}

/* The plainest stance that says just this set of bodies; false if none. */
static bool find_stance(stance *s, const marq_vocab *vocab,
                        const marq_stand *stand, marq_print_use use)
{
    const size_t words = vocab->data->free_word_count;
    bool two = false; /* some are on two feet */
    marq_free_mask used = 0; /* by those on one foot */
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        if (stand->bodies[b] && marq_body_is_two((marq_body)b)) {
            two = true;
        } else if (stand->bodies[b]) {
            used |= MARQ_FREE(marq_body_shape((marq_body)b),
                              marq_body_where((marq_body)b));
        }
    }
    for (int front = 0; front <= 2; front++) { /* fifth; fifth, right front */
        for (int p = 0; p < MARQ_POSITIONS && used == 0; p++) {
            *s = (stance){(marq_position)p, (marq_side)front, MARQ_SIDE_NONE,
                          SIZE_MAX};
            if (says_just(vocab, s, use, stand)) {
                return true;
            }
        }
    }
    for (int front = 0; front <= 2; front++) {
        for (int standing = 0; standing <= 2; standing++) {
            /* on the right; on the right, left ankle behind */
            for (size_t i = 0; i <= words; i++) {
                if (i > 0 &&
                    (two || (used & ~vocab->data->free_words[i - 1].mask))) {
                    continue;
                }
                *s = (stance){MARQ_POSITIONS, (marq_side)front,
                              (marq_side)standing,
                              i == 0 ? SIZE_MAX : i - 1};
                bool nothing = i == 0 && standing == 0 &&
                               (front == 0 || use == MARQ_PRINT_START ||
                                use == MARQ_PRINT_FINISH);
                if (!nothing && says_just(vocab, s, use, stand)) {
                    return true;
                }
            }
            /* on the right, fourth */
            for (int p = MARQ_SECOND; standing && p <= MARQ_FOURTH; p++) {
                *s = (stance){(marq_position)p, (marq_side)front,
                              (marq_side)standing, SIZE_MAX};
                if ((p == MARQ_SECOND || p == MARQ_FOURTH) &&
                    says_just(vocab, s, use, stand)) {
                    return true;
                }
            }
        }
    }
    return false;
}

/* After "now" a word that may be a step is one ("attitude"): then another form
 * of the place is written ("in attitude"). */
static const char *place_words(const marq_vocab_data *data, size_t place,
                               marq_print_use use)
{
    const char *name = data->strings + data->free_words[place].name;
    const char *other = NULL;
    for (size_t i = 0; i < data->form_count && use == MARQ_PRINT_NOW; i++) {
        const marq_form *form = &data->forms[i];
        uint16_t id;
        if (!marq_form_is(data, form, MARQ_ROLE_FREE, &id) || id != place ||
            marq_form_is(data, form, MARQ_ROLE_TERM, NULL)) {
            continue;
        }
        if (strcmp(data->strings + form->shown, name) == 0) {
            return name;
        }
        other = other ? other : data->strings + form->shown;
    }
    return other ? other : name;
}

static void print_stance(marq_build *out, const marq_vocab *vocab,
                         const stance *s, marq_print_use use,
                         const char *comma)
{
    const char *join = "";
    if (s->standing != MARQ_SIDE_NONE) {
        marq_build_text(out, "on the ");
        marq_build_text(out, marq_side_words(s->standing));
        join = comma;
    }
    if (s->position < MARQ_POSITIONS) {
        marq_build_text(out, join);
        print_position(out, (uint16_t)s->position);
        join = comma;
    } else if (s->free != SIZE_MAX) {
        marq_build_text(out, join);
        marq_free_mask mask = vocab->data->free_words[s->free].mask;
        /* "left leg side" would be the left leg; one place alone has a name
           that is no such word */
        if (s->standing != MARQ_SIDE_NONE && (mask & (mask - 1)) == 0) {
            marq_build_text(out,
                            marq_side_words(marq_side_other(s->standing)));
            marq_build_char(out, ' ');
        }
        marq_build_text(out, place_words(vocab->data, s->free, use));
        join = comma;
    }
    if (s->front != MARQ_SIDE_NONE) {
        marq_build_text(out, join);
        marq_build_text(out, marq_side_words(s->front));
        marq_build_text(out, " front");
    }
}

static bool allows_any(const marq_stand *stand)
{
    return memchr(stand->bodies, 1, sizeof stand->bodies) != NULL;
}

/* Any of the bodies, for a reader: such words are not read back. */
static void print_any_body(marq_build *out, const marq_stand *stand)
{
    bool more = false;
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        if (stand->bodies[b]) {
            marq_build_text(out, more ? " or " : "");
            marq_body_words(out, (marq_body)b);
            more = true;
        }
    }
}

bool marq_print_stand_words(marq_build *out, const marq_vocab *vocab,
                            const marq_tree *tree, const marq_stand *stand,
                            marq_print_use use)
{
    stance s;
    bool known = !stand->has_bodies || find_stance(&s, vocab, stand, use);
    bool has_facing = stand->facings != MARQ_ANY_FACING;
    if (tree && (!known || (!stand->has_bodies && !has_facing &&
                            !stand->alignments && !stand->numbered))) {
        return false;
    }
    const char *first = use >= MARQ_PRINT_FACE ? " " : ", ";
    const char *join = use == MARQ_PRINT_TO ? "to " : "";
    const char *facing = use == MARQ_PRINT_TO ? "" : "facing ";
    if (stand->has_bodies) {
        if (known) {
            /* words that cannot all be true stay one group */
            print_stance(out, vocab, &s, use,
                         allows_any(stand) ? first : " ");
        } else {
            print_any_body(out, stand);
        }
        join = first;
    }
    for (unsigned f = 0; has_facing && f < MARQ_FACINGS; f++) {
        if (((unsigned)stand->facings >> f) & 1u) {
            marq_build_text(out, join);
            marq_build_text(out, facing);
            marq_build_text(out, marq_facing_words((marq_facing)f));
            join = " "; /* two facings are of one group */
        }
    }
    join = has_facing ? first : join;
    if (stand->numbered) {
        marq_build_text(out, join);
        marq_build_text(out, facing);
        print_numbered(out, tree, stand->facing_span, stand->span,
                       stand->numbered);
        join = first;
    }
    for (unsigned a = 0; a < MARQ_ALIGNMENTS; a++) {
        if (((unsigned)stand->alignments >> a) & 1u) {
            marq_build_text(out, join);
            marq_build_text(out, marq_alignment_words((marq_alignment)a));
            join = " ";
        }
    }
    return true;
}
