#include "load_clause.h"
#include "load_entry.h"

/* ---- words ---- */
typedef struct named {
    const char *words;
    uint16_t value;
} named;

static const named foot_kinds[] = {
    {"right", MARQ_FOOT_RIGHT},     {"left", MARQ_FOOT_LEFT},
    {"front", MARQ_FOOT_FRONT},     {"back", MARQ_FOOT_BACK},
    {"free", MARQ_FOOT_FREE},       {"standing", MARQ_FOOT_STANDING},
    {"working", MARQ_FOOT_WORKING}, {"same", MARQ_FOOT_SAME},
    {"other", MARQ_FOOT_OTHER},     {"inside", MARQ_FOOT_INSIDE},
    {"outside", MARQ_FOOT_OUTSIDE}};
static const named side_kinds[] = {{"right", MARQ_SIDE_RIGHT},
                                   {"left", MARQ_SIDE_LEFT}};
static const named position_kinds[] = {
    {"first", MARQ_FIRST},       {"second", MARQ_SECOND},
    {"parallel", MARQ_PARALLEL}, {"third", MARQ_THIRD},
    {"fourth", MARQ_FOURTH},     {"fifth", MARQ_FIFTH},
    {"tips", MARQ_TIPS}};
static const named alignment_kinds[] = {
    {"en face", MARQ_EN_FACE}, {"croise", MARQ_CROISE},
    {"efface", MARQ_EFFACE},   {"ecarte", MARQ_ECARTE},
    {"profil", MARQ_PROFIL},   {"dos", MARQ_DOS}};
static const named relation_kinds[] = {
    {"from", MARQ_FROM},       {"to", MARQ_TO},
    {"in", MARQ_IN},           {"on", MARQ_ON},
    {"toward", MARQ_TOWARD},   {"closing", MARQ_CLOSING},
    {"facing", MARQ_FACING_TO}, {"ending", MARQ_ENDING},
    {"now", MARQ_NOW}};
static const named operator_kinds[] = {
    {"repeat", MARQ_OP_REPEAT},     {"other side", MARQ_OP_OTHER_SIDE},
    {"reverse", MARQ_OP_REVERSE},   {"one side", MARQ_OP_ONE_SIDE},
    {"unsquare", MARQ_OP_UNSQUARE}, {"en croix", MARQ_OP_EN_CROIX},
    {"alternate", MARQ_OP_ALTERNATE}};
static const named heading_kinds[] = {
    {"title", MARQ_HEAD_TITLE},           {"level", MARQ_HEAD_LEVEL},
    {"music", MARQ_HEAD_MUSIC},           {"start", MARQ_HEAD_START},
    {"finish", MARQ_HEAD_FINISH},         {"right side", MARQ_HEAD_RIGHT_SIDE},
    {"left side", MARQ_HEAD_LEFT_SIDE},   {"remark", MARQ_HEAD_REMARK}};

typedef struct word_kind {
    const char *kind;
    uint8_t role;
    const char *key;   /* the field that says its meaning; NULL: none */
    const named *rows; /* what may stand there; the name says it when the
                          field is missing */
    size_t row_count;
    uint16_t least, most; /* or a number, where there are no rows */
} word_kind;
#define ROWS(rows) rows, sizeof(rows) / sizeof *(rows), 0, 0

static const word_kind word_kinds[] = {
    {"foot", MARQ_ROLE_FOOT, "kind", ROWS(foot_kinds)},
    {"side", MARQ_ROLE_SIDE, "kind", ROWS(side_kinds)},
    {"position", MARQ_ROLE_POSITION, "kind", ROWS(position_kinds)},
    {"alignment", MARQ_ROLE_ALIGNMENT, "kind", ROWS(alignment_kinds)},
    {"relation", MARQ_ROLE_RELATION, "kind", ROWS(relation_kinds)},
    {"operator", MARQ_ROLE_OPERATOR, "kind", ROWS(operator_kinds)},
    {"heading", MARQ_ROLE_HEADING, "kind", ROWS(heading_kinds)},
    {"facing", MARQ_ROLE_FACING, "eighths", NULL, 0, 0, 7},
    {"amount", MARQ_ROLE_AMOUNT, "eighths", NULL, 0, 1, 64},
    {"number", MARQ_ROLE_NUMBER, "value", NULL, 0, 0, 9999},
    {"times", MARQ_ROLE_TIMES, "value", NULL, 0, 1, 1024},
    {"free", MARQ_ROLE_FREE, "place", NULL, 0, 0, 0},
    {"join", MARQ_ROLE_JOIN, NULL, NULL, 0, 0, 0},
    {"filler", MARQ_ROLE_FILLER, NULL, NULL, 0, 0, 0},
    {"remark", MARQ_ROLE_REMARK, NULL, NULL, 0, 0, 0},
    {"hole", MARQ_ROLE_HOLE, NULL, NULL, 0, 0, 0},
};

/* Number of the free word of this name, made if it is new; -1: none. */
static int free_word(marq_loading *l, const marq_load_entry *e,
                     marq_part place)
{
    char words[100];
    marq_free_mask mask =
        marq_part_words(e->text, place, words, sizeof words)
            ? marq_clause_place(words)
            : 0;
    const char *name = marq_part_written(e->text, l->arena, e->name);
    if (!name) {
        l->faults.no_memory = true;
        return -1;
    }
    if (!mask) {
        marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_CLAUSE, place);
        return -1;
    }
    const char *strings = l->pool.bytes.bytes.at;
    for (size_t i = 0; i < l->free_words.count; i++) {
        marq_free_word *word = MARQ_AT(&l->free_words, marq_free_word, i);
        if (!strcmp(strings + word->name, name)) {
            word->mask = mask; /* an overlay's; twice is found by its form */
            return (int)i;
        }
    }
    if (l->free_words.count == MARQ_FREE_WORDS_MOST) {
        marq_fault_add(&l->faults, e->text, MARQ_DIAG_VOCAB_FULL, e->name,
                       "places of a free leg", NULL);
        return -1;
    }
    marq_free_word *word = marq_array_add(&l->free_words);
    if (!word) {
        l->faults.no_memory = true;
        return -1;
    }
    word->name = marq_pool_add(&l->pool, name, strlen(name));
    word->mask = mask;
    return (int)(l->free_words.count - 1);
}

/* What the row with these words means, or -1. */
static int find_row(const word_kind *kind, const marq_load_text *text,
                    marq_part part)
{
    for (size_t i = 0; i < kind->row_count; i++) {
        if (marq_part_is(text, part, kind->rows[i].words)) {
            return kind->rows[i].value;
        }
    }
    return -1;
}

/* The meaning of a word entry, or -1 (a fault). */
static int word_value(marq_loading *l, const marq_load_entry *e,
                      const word_kind *kind)
{
    const marq_load_field *field =
        kind->key ? marq_entry_field(l, e, kind->key) : NULL;
    int value;
    if (!kind->key) {
        return 0;
    }
    if (field && field->value.from == field->value.to) {
        return -1; /* told by marq_entry_check */
    }
    if (kind->rows) {
        marq_part part = field ? field->value : e->name;
        value = find_row(kind, e->text, part);
        if (value < 0 && !field) {
            marq_entry_fault_missing(l, e, marq_entry_part(e), kind->key);
        } else if (value < 0) {
            marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_UNKNOWN,
                             part);
        }
        return value;
    }
    if (!field) {
        return -1; /* it must stand there: told by marq_entry_check */
    }
    if (kind->role == MARQ_ROLE_FREE) {
        return free_word(l, e, field->value);
    }
    uint32_t number;
    if (!marq_part_number(e->text, field->value, kind->most, &number) ||
        number < kind->least) {
        marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_UNKNOWN,
                         field->value);
        return -1;
    }
    return (int)number;
}

/* ---- patterns and prices ---- */
static bool add_pattern(marq_loading *l, const marq_load_entry *e,
                        marq_notation notation, marq_part part)
{
    const marq_load_text *t = e->text;
    const marq_folded *f = &t->folded;
    /* Taken from the source as it stands: folding would change \D, and a
     * pattern has one line. */
    const char *text = t->bytes + f->place[part.from];
    size_t length = f->place[part.to] - f->place[part.from], at, part_count;
    while (length > 0 && (text[length - 1] == '\r' ||
                          text[length - 1] == ' ')) {
        length--;
    }
    const char *const *parts = marq_notation_parts(notation, &part_count);
    const char *why = "";
    marq_pattern *pattern = NULL;
    marq_status s = marq_pattern_compile(&pattern, l->arena->mem, text,
                                         length, parts, part_count, &at,
                                         &why);
    if (s == MARQ_VOCABULARY) {
        uint32_t from = part.from + (uint32_t)at;
        if (from >= part.to) {
            from = part.to - 1;
        }
        marq_fault_add(&l->faults, t, MARQ_DIAG_VOCAB_PATTERN,
                       (marq_part){from, from + 1}, why, NULL);
        return true;
    }
    if (s != MARQ_OK) {
        return false;
    }
    marq_pattern_free(pattern);
    for (size_t i = 0; i < l->notations.count; i++) {
        const marq_notation_line *line =
            MARQ_AT(&l->notations, marq_notation_line, i);
        const char *old = (const char *)l->pool.bytes.bytes.at +
                          line->pattern;
        if (line->notation == notation && !strncmp(old, text, length) &&
            !old[length]) {
            marq_fault_quote(&l->faults, t, MARQ_DIAG_VOCAB_TWICE, part);
            return true;
        }
    }
    if (l->notations.count == MARQ_NOTATION_LINES_MOST) {
        marq_fault_add(&l->faults, t, MARQ_DIAG_VOCAB_FULL, part, "patterns",
                       NULL);
        return true;
    }
    marq_notation_line *line = marq_array_add(&l->notations);
    if (!line) {
        return false;
    }
    line->notation = (uint8_t)notation;
    line->pattern = marq_pool_add(&l->pool, text, length);
    const char *name = marq_notation_name(notation);
    line->name = marq_pool_add(&l->pool, name, strlen(name));
    return !l->pool.bytes.failed;
}

/* An overlay's patterns of a name take the place of all below. */
static void drop_patterns(marq_loading *l, marq_notation notation)
{
    marq_notation_line *lines = l->notations.at;
    size_t kept = 0;
    if (!l->notation_from_base[notation]) {
        return;
    }
    l->notation_from_base[notation] = false;
    for (size_t i = 0; i < l->notations.count; i++) {
        if (lines[i].notation != notation) {
            lines[kept++] = lines[i];
        }
    }
    l->notations.count = kept;
}

static bool read_pattern(marq_loading *l, const marq_load_entry *e)
{
    static const marq_field_rule rules[] = {{"match", true, true},
                                            {"means", false, false},
                                            {"source", false, false},
                                            {"note", false, true}};
    unsigned n = 0;
    marq_entry_check(l, e, rules, sizeof rules / sizeof *rules);
    while (n < MARQ_NOTATIONS &&
           !marq_part_is(e->text, e->name,
                         marq_notation_name((marq_notation)n))) {
        n++;
    }
    if (n == MARQ_NOTATIONS) {
        if (e->name.from < e->name.to) {
            marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_UNKNOWN,
                             e->name);
        }
        return true;
    }
    drop_patterns(l, (marq_notation)n);
    for (size_t i = 0; i < e->field_count; i++) {
        const marq_load_field *field =
            MARQ_AT(&l->fields, marq_load_field, e->first_field + i);
        if (marq_part_is(e->text, field->key, "match") &&
            field->value.from < field->value.to &&
            !add_pattern(l, e, (marq_notation)n, field->value)) {
            return false;
        }
    }
    return true;
}

static bool read_price(marq_loading *l, const marq_load_entry *e)
{
    static const marq_field_rule rules[] = {{"value", true, false},
                                            {"means", false, false},
                                            {"source", false, false},
                                            {"note", false, true}};
    unsigned p = 0;
    const char *folded = NULL;
    marq_entry_check(l, e, rules, sizeof rules / sizeof *rules);
    for (; p < MARQ_PRICES; p++) {
        const char *name = marq_price_name((marq_price)p);
        folded = marq_text_fold_string(l->arena, name, strlen(name));
        if (!folded) {
            return false;
        }
        if (marq_part_is(e->text, e->name, folded)) {
            break;
        }
    }
    if (p == MARQ_PRICES) {
        if (e->name.from < e->name.to) {
            marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_UNKNOWN,
                             e->name);
        }
        return true;
    }
    if (l->price_from[p] == 2) {
        marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_TWICE,
                         (marq_part){e->kind.from, e->name.to});
    }
    l->price_from[p] = 2;
    const marq_load_field *field = marq_entry_field(l, e, "value");
    uint32_t value;
    if (!field || field->value.from == field->value.to) {
        return true;
    }
    if (!marq_part_number(e->text, field->value, 99, &value)) {
        marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_UNKNOWN,
                         field->value);
        return true;
    }
    l->prices[p] = (uint8_t)value;
    return true;
}

bool marq_entry_word(marq_loading *l, const marq_load_entry *e,
                     marq_entry_id *id)
{
    const marq_load_text *t = e->text;
    id->role = MARQ_ROLES;
    if (marq_part_is(t, e->kind, "pattern")) {
        return read_pattern(l, e) && !l->faults.no_memory;
    }
    if (marq_part_is(t, e->kind, "price")) {
        return read_price(l, e) && !l->faults.no_memory;
    }
    for (size_t i = 0; i < sizeof word_kinds / sizeof *word_kinds; i++) {
        const word_kind *kind = &word_kinds[i];
        if (!marq_part_is(t, e->kind, kind->kind)) {
            continue;
        }
        marq_field_rule rules[] = {{"written", false, true},
                                   {"means", false, false},
                                   {"source", false, false},
                                   {"note", false, true},
                                   {kind->key, !kind->rows, false}};
        marq_entry_check(l, e, rules, kind->key ? 5 : 4);
        int value = word_value(l, e, kind);
        if (value >= 0) {
            id->role = kind->role;
            id->id = (uint16_t)value;
        }
        return !l->faults.no_memory;
    }
    marq_fault_quote(&l->faults, t, MARQ_DIAG_VOCAB_FIELD, e->kind);
    return !l->faults.no_memory;
}
