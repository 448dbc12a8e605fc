#include "print_words.h"

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

/* A bare number belongs to a school; only whether the writer said wall or
 * corner is looked up. */
static void print_numbered(marq_build *out, const marq_tree *tree,
                           marq_span span, uint16_t number)
{
    bool wall = false;
    if (tree && tree->source && span.to <= tree->source->length) {
        for (size_t i = span.from; i + 4 <= span.to; i++) {
            const char *at = tree->source->bytes + i;
            wall = wall || ((at[0] == 'w' || at[0] == 'W') &&
                            (at[1] == 'a' || at[1] == 'A') &&
                            (at[2] == 'l' || at[2] == 'L'));
        }
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

void marq_print_mark_words(marq_build *out, const marq_vocab *vocab,
                           const marq_tree *tree, const marq_mark *mark)
{
    const marq_vocab_data *data = vocab->data;
    uint16_t value = mark->value;
    switch ((marq_mark_kind)mark->kind) {
    case MARQ_MARK_QUALIFIER:
        if (value < data->qualifier_count) {
            marq_build_text(out,
                            marq_string(vocab, data->qualifiers[value].name));
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
        marq_build_text(out, "to ");
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
        print_numbered(out, tree, mark->span, value);
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

/* ---- stands ---- */

/* What a set of bodies comes to in words. */
typedef struct stance {
    bool two;               /* a position, else one foot */
    marq_position position;
    marq_side front;        /* NONE: either */
    marq_side standing;     /* NONE: either */
    const char *free;       /* place of the free leg; NULL: anywhere */
} stance;

static const char *find_free(const marq_vocab *vocab, marq_free_mask mask)
{
    for (size_t i = 0; i < vocab->data->free_word_count; i++) {
        if (vocab->data->free_words[i].mask == mask) {
            return marq_string(vocab, vocab->data->free_words[i].name);
        }
    }
    return NULL;
}

/* Two feet: one position, with either foot in front or with one. */
static bool find_position(stance *out, const marq_stand *stand)
{
    bool found = false;
    uint8_t fronts = 0;
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        if (!stand->bodies[b]) {
            continue;
        }
        marq_position position = MARQ_POSITIONS;
        if (marq_body_is_two((marq_body)b)) {
            position = marq_body_position((marq_body)b);
        }
        if (position == MARQ_POSITIONS ||
            (found && position != out->position)) {
            return false;
        }
        found = true;
        out->position = position;
        fronts |= (uint8_t)(1u << marq_body_front((marq_body)b));
    }
    out->two = true;
    out->front = MARQ_SIDE_NONE;
    if (fronts == 1u << MARQ_SIDE_RIGHT) {
        out->front = MARQ_SIDE_RIGHT;
    } else if (fronts == 1u << MARQ_SIDE_LEFT) {
        out->front = MARQ_SIDE_LEFT;
    }
    return found;
}

/* One foot: the right, the left or either, and where the free leg may be. */
static bool find_one_foot(stance *out, const marq_vocab *vocab,
                          const marq_stand *stand)
{
    marq_free_mask mask[3] = {0, 0, 0};
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        if (!stand->bodies[b]) {
            continue;
        }
        if (marq_body_is_two((marq_body)b)) {
            return false;
        }
        mask[marq_body_standing((marq_body)b)] |=
            MARQ_FREE(marq_body_shape((marq_body)b),
                      marq_body_where((marq_body)b));
    }
    marq_free_mask right = mask[MARQ_SIDE_RIGHT];
    marq_free_mask left = mask[MARQ_SIDE_LEFT];
    out->two = false;
    out->free = NULL;
    if (right && left) {
        out->standing = MARQ_SIDE_NONE;
        out->free = find_free(vocab, right);
        return right == left && out->free != NULL;
    }
    out->standing = right ? MARQ_SIDE_RIGHT : MARQ_SIDE_LEFT;
    if ((right | left) == MARQ_FREE_ANY) {
        return true;
    }
    out->free = find_free(vocab, right | left);
    return out->free != NULL;
}

static void print_stance(marq_build *out, const stance *s)
{
    if (s->two) {
        print_position(out, (uint16_t)s->position);
        if (s->front != MARQ_SIDE_NONE) {
            marq_build_text(out, ", ");
            marq_build_text(out, marq_side_words(s->front));
            marq_build_text(out, " front");
        }
        return;
    }
    if (s->standing != MARQ_SIDE_NONE) {
        marq_build_text(out, "on the ");
        marq_build_text(out, marq_side_words(s->standing));
        if (s->free) {
            marq_build_text(out, ", ");
            marq_build_text(out,
                            marq_side_words(marq_side_other(s->standing)));
            marq_build_char(out, ' ');
        }
    }
    marq_build_text(out, s->free);
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

static bool is_one_facing(uint8_t facings)
{
    return facings != 0 && (facings & (facings - 1)) == 0;
}

bool marq_print_stand_words(marq_build *out, const marq_vocab *vocab,
                            const marq_tree *tree, const marq_stand *stand)
{
    stance s = {false, MARQ_FIRST, MARQ_SIDE_NONE, MARQ_SIDE_NONE, NULL};
    bool known = !stand->has_bodies || find_position(&s, stand) ||
                 find_one_foot(&s, vocab, stand);
    bool has_facing = stand->facings != MARQ_ANY_FACING;
    bool says = stand->has_bodies || has_facing || stand->alignments ||
                stand->numbered;
    if (tree && (!known || !says ||
                 (has_facing && !is_one_facing(stand->facings)))) {
        return false;
    }
    const char *join = "";
    if (stand->has_bodies) {
        if (known) {
            print_stance(out, &s);
        } else {
            print_any_body(out, stand);
        }
        join = ", ";
    }
    for (unsigned f = 0; has_facing && f < MARQ_FACINGS; f++) {
        if (((unsigned)stand->facings >> f) & 1u) {
            marq_build_text(out, join);
            marq_build_text(out, "facing ");
            marq_build_text(out, marq_facing_words((marq_facing)f));
            join = " or ";
        }
    }
    join = *join ? ", " : "";
    if (stand->numbered) {
        marq_build_text(out, join);
        marq_build_text(out, "facing ");
        print_numbered(out, tree, stand->facing_span, stand->numbered);
        join = ", ";
    }
    for (unsigned a = 0; a < MARQ_ALIGNMENTS; a++) {
        if (((unsigned)stand->alignments >> a) & 1u) {
            marq_build_text(out, join);
            marq_build_text(out, marq_alignment_words((marq_alignment)a));
            join = ", ";
        }
    }
    return true;
}
