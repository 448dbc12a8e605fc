#include "load_clause.h"
#include "load_entry.h"

/* ---- fields of a term ---- */
static const char *const families[] = {
    "basics",    "adage", "links", "small jumps", "beats",
    "big jumps", "turns", "poses", "placing"};

typedef struct named {
    const char *words;
    uint8_t value;
} named;

static const named sides[] = {{"travel", MARQ_SIDE_IS_TRAVEL},
                              {"turn", MARQ_SIDE_IS_TURN},
                              {"foot", MARQ_SIDE_IS_FOOT},
                              {"front", MARQ_SIDE_IS_FRONT},
                              {"asked", MARQ_SIDE_IS_ASKED}};
static const named natures[] = {{"a hold", MARQ_TERM_HOLD},
                                {"a link", MARQ_TERM_LINKS},
                                {"after a run", MARQ_TERM_RUN_IN},
                                {"alternating", MARQ_TERM_ALTERNATES}};
static const named cautions[] = {{"pointe", MARQ_CAUTION_POINTE},
                                 {"big jump", MARQ_CAUTION_BIG_JUMP},
                                 {"turn in the air",
                                  MARQ_CAUTION_TURN_IN_AIR}};

static const named *find_named(const named *rows, size_t count,
                               const marq_load_text *text, marq_part part)
{
    for (size_t i = 0; i < count; i++) {
        if (marq_part_is(text, part, rows[i].words)) {
            return &rows[i];
        }
    }
    return NULL;
}
#define FIND(rows, text, part) \
    find_named(rows, sizeof(rows) / sizeof *(rows), text, part)

static void fault_unknown(marq_loading *l, const marq_load_entry *e,
                          marq_part part)
{
    marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_UNKNOWN, part);
}

/* The value of a field, or false if it is missing or empty. */
static bool value_of(const marq_loading *l, const marq_load_entry *e,
                     const char *key, marq_part *value)
{
    const marq_load_field *field = marq_entry_field(l, e, key);
    if (!field || field->value.from == field->value.to) {
        return false;
    }
    *value = field->value;
    return true;
}

/* `is` and `caution`: several words, each a flag. */
static uint8_t read_flags(marq_loading *l, const marq_load_entry *e,
                          const char *key, const named *rows, size_t count)
{
    marq_part rest, piece;
    uint8_t flags = 0;
    if (!value_of(l, e, key, &rest)) {
        return 0;
    }
    while (marq_part_next(e->text, &rest, ",;", &piece, NULL)) {
        const named *row = find_named(rows, count, e->text, piece);
        if (row) {
            flags |= row->value;
        } else if (piece.from < piece.to) {
            fault_unknown(l, e, piece);
        }
    }
    return flags;
}

/* "2" or "1/2". */
static void read_counts(marq_loading *l, const marq_load_entry *e,
                        marq_term *term)
{
    marq_part value, rest, num, den;
    uint32_t n = 0, d = 1;
    if (!value_of(l, e, "counts", &value)) {
        return;
    }
    rest = value;
    marq_part_next(e->text, &rest, "/", &num, NULL);
    bool good = marq_part_number(e->text, num, 255, &n) && n > 0;
    if (good && marq_part_next(e->text, &rest, "", &den, NULL)) {
        good = marq_part_number(e->text, den, 255, &d) && d > 0;
    }
    if (!good) {
        fault_unknown(l, e, value);
        return;
    }
    term->counts_num = (uint8_t)n;
    term->counts_den = (uint8_t)d;
}

static bool good_id(const marq_load_text *text, marq_part part)
{
    for (uint32_t i = part.from; i < part.to; i++) {
        /* As given, not as folded: an id is small letters to begin with. */
        char c = text->bytes[text->folded.place[i]];
        if (!((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') ||
              (c == '-' && i > part.from))) {
            return false;
        }
    }
    return part.from < part.to;
}

static void read_gender(marq_loading *l, const marq_load_entry *e,
                        marq_term *term)
{
    marq_part value;
    if (!value_of(l, e, "gender", &value) ||
        marq_part_is(e->text, value, "masculine")) {
        return;
    }
    if (marq_part_is(e->text, value, "feminine")) {
        term->flags |= MARQ_TERM_FEMININE;
    } else {
        fault_unknown(l, e, value);
    }
}

static void read_side_level(marq_loading *l, const marq_load_entry *e,
                            marq_term *term)
{
    marq_part value;
    char words[40];
    if (value_of(l, e, "side", &value)) {
        const named *row = FIND(sides, e->text, value);
        if (row) {
            term->side_means = row->value;
        } else {
            fault_unknown(l, e, value);
        }
    }
    if (value_of(l, e, "level", &value)) {
        marq_part_words(e->text, value, words, sizeof words);
        int level = marq_clause_level(words);
        if (level >= 0) {
            term->level = (uint8_t)level;
        } else {
            fault_unknown(l, e, value);
        }
    }
}

static uint8_t read_gap(marq_loading *l, const marq_load_entry *e)
{
    marq_part value;
    char words[40];
    if (!value_of(l, e, "gap", &value)) {
        return MARQ_STILL;
    }
    marq_part_words(e->text, value, words, sizeof words);
    int gap = marq_clause_gap(words);
    if (gap < 0) {
        fault_unknown(l, e, value);
        return MARQ_STILL;
    }
    return (uint8_t)gap;
}

static marq_str pooled_field(marq_loading *l, const marq_load_entry *e,
                             const char *key)
{
    marq_part value;
    return value_of(l, e, key, &value) ? marq_part_pooled(l, e->text, value)
                                       : 0;
}

/* All notes as one, joined by "; ". */
static marq_str pooled_notes(marq_loading *l, const marq_load_entry *e)
{
    marq_build build;
    size_t length;
    bool any = false;
    marq_build_init(&build, l->arena);
    for (size_t i = 0; i < e->field_count; i++) {
        const marq_load_field *field =
            MARQ_AT(&l->fields, marq_load_field, e->first_field + i);
        if (!marq_part_is(e->text, field->key, "note")) {
            continue;
        }
        const char *note = marq_part_written(e->text, l->arena, field->value);
        if (!note) {
            l->faults.no_memory = true;
            return 0;
        }
        marq_build_text(&build, any ? "; " : "");
        marq_build_text(&build, note);
        any = true;
    }
    const char *notes = marq_build_done(&build, &length);
    if (!notes) {
        l->faults.no_memory = true;
        return 0;
    }
    return marq_pool_add(&l->pool, notes, length);
}

static void read_term(marq_loading *l, const marq_load_entry *e,
                      marq_term *term)
{
    marq_part value;
    *term = (marq_term){0};
    term->name = marq_part_pooled(l, e->text, e->name);
    if (value_of(l, e, "id", &value)) {
        if (good_id(e->text, value)) {
            term->id = marq_part_pooled(l, e->text, value);
        } else {
            marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_FIELD,
                             value);
        }
    }
    term->means = pooled_field(l, e, "means");
    term->source = pooled_field(l, e, "source");
    term->note = pooled_notes(l, e);
    term->family = pooled_field(l, e, "family");
    if (value_of(l, e, "family", &value)) {
        size_t i = 0, count = sizeof families / sizeof *families;
        while (i < count && !marq_part_is(e->text, value, families[i])) {
            i++;
        }
        if (i == count) {
            fault_unknown(l, e, value);
        }
    }
    read_side_level(l, e, term);
    read_gender(l, e, term);
    read_counts(l, e, term);
    term->flags = (uint8_t)(
        term->flags |
        read_flags(l, e, "is", natures, sizeof natures / sizeof *natures) |
        read_flags(l, e, "caution", cautions,
                   sizeof cautions / sizeof *cautions));
}

/* ---- variants ---- */
/* A reverse waiting for all variants of its term. */
typedef struct pending_reverse {
    uint32_t variant;
    bool named; /* tags are what must be found */
    marq_tags tags;
    marq_part part;
} pending_reverse;

static bool same_tags(marq_tags a, marq_tags b)
{
    return a.bit[0] == b.bit[0] && a.bit[1] == b.bit[1];
}

/* One name before the colon or after "reverse"; true if it is a qualifier or
 * the `-` of the plain form.  *marked tells of a `!`. */
static bool read_name(marq_loading *l, const marq_load_text *text,
                      marq_part part, marq_tags *tags, uint16_t *q,
                      bool *marked)
{
    *marked = part.to > part.from && text->line[part.to - 1] == '!';
    *q = 0xffff;
    if (*marked) {
        part.to--;
        part = marq_part_trim(text, part);
    }
    if (marq_part_is(text, part, "-")) {
        return !*marked;
    }
    *q = marq_find_qualifier(l, text, part);
    if (*q == 0xffff) {
        marq_fault_quote(&l->faults, text, MARQ_DIAG_VOCAB_UNKNOWN, part);
        return true; /* told */
    }
    if (marq_tag_has(*tags, *q)) {
        marq_fault_quote(&l->faults, text, MARQ_DIAG_VOCAB_TWICE, part);
    }
    marq_tag_add(tags, *q);
    return true;
}

/* The names before the colon, and the variant's own name from them. */
static marq_str read_names(marq_loading *l, const marq_load_text *text,
                           marq_part names, bool feminine, marq_tags *tags,
                           marq_tags *marked)
{
    marq_build build;
    marq_part piece;
    size_t length;
    bool any = false;
    marq_build_init(&build, l->arena);
    while (marq_part_next(text, &names, ",", &piece, NULL)) {
        uint16_t q;
        bool must;
        if (piece.from == piece.to) {
            continue;
        }
        if (!read_name(l, text, piece, tags, &q, &must)) {
            marq_fault_quote(&l->faults, text, MARQ_DIAG_VOCAB_UNKNOWN,
                             piece);
            continue;
        }
        if (q == 0xffff) {
            continue;
        }
        if (must) {
            marq_tag_add(marked, q);
        }
        const marq_loading_qualifier *own =
            MARQ_AT(&l->qualifiers, marq_loading_qualifier, q);
        const char *strings = l->pool.bytes.bytes.at;
        marq_build_text(&build, any ? ", " : "");
        marq_build_text(&build,
                        strings + (feminine && own->qualifier.feminine
                                       ? own->qualifier.feminine
                                       : own->qualifier.name));
        any = true;
    }
    const char *name = marq_build_done(&build, &length);
    if (!name) {
        l->faults.no_memory = true;
        return 0;
    }
    return marq_pool_add(&l->pool, name, length);
}

static bool same_variant(const marq_variant *a, const marq_variant *b)
{
    return same_tags(a->tags, b->tags) && same_tags(a->marked, b->marked) &&
           a->from_two == b->from_two && a->from_free == b->from_free &&
           a->worker == b->worker && a->end == b->end &&
           a->end_position == b->end_position &&
           a->end_front == b->end_front && a->end_free == b->end_free &&
           a->turn_sense == b->turn_sense &&
           a->turn_eighths == b->turn_eighths && a->travel == b->travel &&
           a->lands == b->lands && a->leaves == b->leaves &&
           a->arrives == b->arrives && a->flags == b->flags;
}

/* "assemblé dessus" */
static const char *name_variant(marq_loading *l, const marq_load_entry *e,
                                marq_str name)
{
    marq_build build;
    const char *term = marq_part_written(e->text, l->arena,
                                         marq_entry_part(e));
    marq_build_init(&build, l->arena);
    marq_build_text(&build, term ? term : "");
    if (name) {
        marq_build_char(&build, ' ');
        marq_build_text(&build,
                        (const char *)l->pool.bytes.bytes.at + name);
    }
    const char *whole = marq_build_done(&build, NULL);
    if (!whole || !term) {
        l->faults.no_memory = true;
        return "";
    }
    return whole;
}

static void wait_reverse(marq_loading *l, const marq_load_text *text,
                         const marq_clauses *clauses, uint32_t variant,
                         marq_array *waiting)
{
    if (clauses->reverse_count == 0) {
        return;
    }
    pending_reverse *p = marq_array_add(waiting);
    if (!p) {
        l->faults.no_memory = true;
        return;
    }
    p->variant = variant;
    p->named = true;
    p->part = (marq_part){
        clauses->reverse[0].from,
        clauses->reverse[clauses->reverse_count - 1].to};
    for (size_t i = 0; i < clauses->reverse_count; i++) {
        uint16_t q;
        bool marked;
        size_t before = l->faults.list.count;
        if (!read_name(l, text, clauses->reverse[i], &p->tags, &q,
                       &marked)) {
            marq_fault_quote(&l->faults, text, MARQ_DIAG_VOCAB_UNKNOWN,
                             clauses->reverse[i]);
        }
        p->named &= l->faults.list.count == before;
    }
}

/* Reads one `variant` field.  False: no room or memory. */
static bool read_variant(marq_loading *l, const marq_load_entry *e,
                         const marq_term *term, uint8_t gap, marq_part value,
                         size_t first, marq_array *waiting)
{
    const marq_load_text *text = e->text;
    marq_part names, rest = value;
    char mark;
    marq_tags tags = {{0, 0}}, marked = {{0, 0}};
    marq_part_next(text, &rest, ":", &names, &mark);
    if (mark != ':' || names.from == names.to) {
        marq_fault_quote(&l->faults, text, MARQ_DIAG_VOCAB_CLAUSE, value);
        return true;
    }
    marq_str name = read_names(
        l, text, names, (term->flags & MARQ_TERM_FEMININE) != 0, &tags,
        &marked);
    marq_clauses clauses = {.level = term->level, .gap = gap,
                            .who = name_variant(l, e, name),
                            .who_part = names};
    bool good = marq_clauses_read(&clauses, text, rest, &l->faults);
    if (l->faults.no_memory || l->pool.bytes.failed) {
        return false;
    }
    marq_variant *v = &clauses.variant;
    v->name = name;
    v->tags = tags;
    v->marked = marked;
    v->reverse = 0xffff;
    v->span = (marq_span){text->folded.place[value.from] + text->skipped,
                          text->folded.place[value.to] + text->skipped};
    v->text = (uint16_t)(text->index + 1);
    for (size_t i = first; good && i < l->variants.count; i++) {
        if (same_variant(MARQ_AT(&l->variants, marq_variant, i), v)) {
            marq_fault_quote(&l->faults, text, MARQ_DIAG_VOCAB_TWICE, value);
            good = false;
        }
    }
    if (l->variants.count == MARQ_VARIANTS_MOST) {
        marq_fault_add(&l->faults, text, MARQ_DIAG_VOCAB_FULL, names,
                       "variants", NULL);
        return true;
    }
    marq_variant *added = marq_array_add(&l->variants);
    if (!added) {
        return false;
    }
    *added = *v;
    wait_reverse(l, text, &clauses, (uint32_t)(l->variants.count - 1),
                 waiting);
    return !l->faults.no_memory;
}

/* How many lines with the tags of variant `at` stand before it. */
static size_t rank_of(const marq_variant *variants, size_t first, size_t at)
{
    size_t rank = 0;
    for (size_t i = first; i < at; i++) {
        rank += same_tags(variants[i].tags, variants[at].tags);
    }
    return rank;
}

/* Several lines may carry the same names: the first answers the first, the
 * second the second, and the last whatever is left over. */
static void settle_reverse(marq_loading *l, const marq_load_entry *e,
                           size_t first, const pending_reverse *p)
{
    marq_variant *variants = l->variants.at;
    size_t rank = rank_of(variants, first, p->variant);
    uint16_t found = 0xffff;
    if (!p->named) {
        return;
    }
    for (size_t i = first; i < l->variants.count; i++) {
        if (same_tags(variants[i].tags, p->tags)) {
            found = (uint16_t)i;
            if (rank-- == 0) {
                break;
            }
        }
    }
    if (found == 0xffff) {
        marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_UNKNOWN,
                         p->part);
    }
    variants[p->variant].reverse = found;
}

static bool read_variants(marq_loading *l, const marq_load_entry *e,
                          marq_term *term)
{
    size_t first = l->variants.count, lines = 0;
    size_t faults_before = l->faults.list.count;
    uint8_t gap = read_gap(l, e);
    bool free_of_charge = false;
    marq_array waiting;
    marq_array_init(&waiting, l->arena, sizeof(pending_reverse));
    for (size_t i = 0; i < e->field_count; i++) {
        const marq_load_field *field =
            MARQ_AT(&l->fields, marq_load_field, e->first_field + i);
        if (!marq_part_is(e->text, field->key, "variant") ||
            field->value.from == field->value.to) {
            continue;
        }
        lines++;
        if (!read_variant(l, e, term, gap, field->value, first, &waiting)) {
            return false;
        }
    }
    for (size_t i = 0; i < waiting.count; i++) {
        settle_reverse(l, e, first, MARQ_AT(&waiting, pending_reverse, i));
    }
    for (size_t i = first; i < l->variants.count; i++) {
        free_of_charge |=
            MARQ_AT(&l->variants, marq_variant, i)->price == 0;
    }
    /* A line that was not understood may have been the one. */
    if (lines > 0 && !free_of_charge &&
        l->faults.list.count == faults_before) {
        marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_NO_ZERO,
                         marq_entry_part(e));
    }
    term->first_variant = (uint16_t)first;
    term->variant_count = (uint16_t)(l->variants.count - first);
    return !l->faults.no_memory;
}

/* ---- the whole ---- */
bool marq_entry_term(marq_loading *l, const marq_load_entry *e,
                     marq_entry_id *id)
{
    static const marq_field_rule rules[] = {
        {"id", true, false},      {"written", false, true},
        {"means", true, false},   {"family", true, false},
        {"level", true, false},   {"counts", false, false},
        {"side", true, false},    {"gap", false, false},
        {"is", false, false},     {"caution", false, false},
        {"gender", false, false},
        {"source", true, false},  {"note", false, true},
        {"variant", true, true}};
    marq_term term;
    id->role = MARQ_ROLES;
    marq_entry_check(l, e, rules, sizeof rules / sizeof *rules);
    read_term(l, e, &term);
    if (l->faults.no_memory || l->pool.bytes.failed ||
        !read_variants(l, e, &term)) {
        return false;
    }
    const char *strings = l->pool.bytes.bytes.at;
    marq_loading_term *place = NULL;
    size_t at = 0;
    for (; term.id && at < l->terms.count; at++) {
        place = MARQ_AT(&l->terms, marq_loading_term, at);
        if (!strcmp(strings + place->term.id, strings + term.id)) {
            break;
        }
    }
    if (term.id && at < l->terms.count) {
        if (!place->from_base) {
            marq_part value = {0, 0};
            value_of(l, e, "id", &value);
            marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_TWICE,
                             value);
            return !l->faults.no_memory;
        }
    } else {
        at = l->terms.count;
        if (at == MARQ_TERMS_MOST) {
            marq_fault_add(&l->faults, e->text, MARQ_DIAG_VOCAB_FULL,
                           marq_entry_part(e), "terms", NULL);
            return !l->faults.no_memory;
        }
        place = marq_array_add(&l->terms);
        if (!place) {
            return false;
        }
    }
    place->term = term;
    place->from_base = false;
    id->role = MARQ_ROLE_TERM;
    id->id = (uint16_t)at;
    return true;
}
