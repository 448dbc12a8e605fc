#include "load_entry.h"

#include "load_clause.h"

/* ---- fields ---- */
marq_part marq_entry_part(const marq_load_entry *e)
{
    return e->name.from < e->name.to ? e->name : e->kind;
}

static const marq_load_field *field_at(const marq_loading *l,
                                       const marq_load_entry *e, size_t i)
{
    return MARQ_AT(&l->fields, marq_load_field, e->first_field + i);
}

const marq_load_field *marq_entry_field(const marq_loading *l,
                                        const marq_load_entry *e,
                                        const char *key)
{
    for (size_t i = 0; i < e->field_count; i++) {
        const marq_load_field *field = field_at(l, e, i);
        if (marq_part_is(e->text, field->key, key)) {
            return field;
        }
    }
    return NULL;
}

void marq_entry_fault_missing(marq_loading *l, const marq_load_entry *e,
                              marq_part part, const char *what)
{
    const char *who = marq_part_written(e->text, l->arena,
                                        marq_entry_part(e));
    if (!who) {
        l->faults.no_memory = true;
        return;
    }
    marq_fault_add(&l->faults, e->text, MARQ_DIAG_VOCAB_MISSING, part, who,
                   what);
}

void marq_entry_check(marq_loading *l, const marq_load_entry *e,
                      const marq_field_rule *rules, size_t count)
{
    uint32_t seen = 0; /* bit a rule; there are fewer than 32 */
    if (e->name.from == e->name.to) {
        marq_entry_fault_missing(l, e, e->kind, "name");
    }
    for (size_t i = 0; i < e->field_count; i++) {
        const marq_load_field *field = field_at(l, e, i);
        size_t r = 0;
        while (r < count &&
               !marq_part_is(e->text, field->key, rules[r].key)) {
            r++;
        }
        if (r == count) {
            marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_FIELD,
                             field->key);
            continue;
        }
        if (seen >> r & 1u && !rules[r].many) {
            marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_TWICE,
                             field->key);
        }
        seen |= 1u << r;
        if (field->value.from == field->value.to) {
            marq_entry_fault_missing(l, e, field->key, rules[r].key);
        }
    }
    for (size_t r = 0; r < count; r++) {
        if (rules[r].must && !(seen >> r & 1u)) {
            marq_entry_fault_missing(l, e, marq_entry_part(e), rules[r].key);
        }
    }
}

marq_str marq_part_pooled(marq_loading *l, const marq_load_text *text,
                          marq_part part)
{
    const char *written = marq_part_written(text, l->arena, part);
    if (!written) {
        l->faults.no_memory = true;
        return 0;
    }
    marq_str s = marq_pool_add(&l->pool, written, strlen(written));
    l->faults.no_memory |= l->pool.bytes.failed;
    return s;
}

/* ---- forms ---- */
static bool add_form(marq_loading *l, const marq_load_entry *e,
                     marq_part part, const marq_entry_id *id, unsigned flags)
{
    char key[MARQ_FORM_BYTES_MOST];
    size_t length;
    if (!marq_form_key_into(key, sizeof key, e->text->line + part.from,
                            part.to - part.from, &length)) {
        marq_fault_add(&l->faults, e->text, MARQ_DIAG_VOCAB_FULL, part,
                       "letters in a form", NULL);
        return true;
    }
    if (length == 0) { /* a lone full stop or hyphen */
        marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_FIELD, part);
        return true;
    }
    const char *shown = marq_part_written(e->text, l->arena, part);
    if (!shown) {
        return false;
    }
    marq_sense sense = {.role = id->role, .id = id->id};
    switch (marq_form_table_add(&l->forms, key, length, shown, strlen(shown),
                                sense, flags)) {
    case MARQ_FORM_TWICE:
        marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_TWICE,
                         (marq_part){e->kind.from, e->name.to});
        break;
    case MARQ_FORM_FULL:
        marq_fault_add(&l->faults, e->text, MARQ_DIAG_VOCAB_FULL, part,
                       "forms", NULL);
        break;
    case MARQ_FORM_NO_MEMORY:
        return false;
    default:
        break;
    }
    return true;
}

bool marq_entry_forms(marq_loading *l, const marq_load_entry *e,
                      const marq_entry_id *id)
{
    if (id->role == MARQ_ROLES || e->name.from == e->name.to) {
        return true;
    }
    if (!add_form(l, e, e->name, id, MARQ_SENSE_NAME)) {
        return false;
    }
    for (size_t i = 0; i < e->field_count; i++) {
        const marq_load_field *field = field_at(l, e, i);
        if (!marq_part_is(e->text, field->key, "written")) {
            continue;
        }
        marq_part rest = field->value, piece;
        while (marq_part_next(e->text, &rest, ",", &piece, NULL)) {
            if (piece.from < piece.to && !add_form(l, e, piece, id, 0)) {
                return false;
            }
        }
    }
    return true;
}

/* ---- qualifiers ---- */
uint16_t marq_find_qualifier(const marq_loading *l,
                             const marq_load_text *text, marq_part part)
{
    char key[MARQ_FORM_BYTES_MOST];
    size_t length;
    if (!marq_form_key_into(key, sizeof key, text->line + part.from,
                            part.to - part.from, &length) ||
        length == 0) {
        return 0xffff;
    }
    for (size_t i = 0; i < l->qualifiers.count; i++) {
        const marq_loading_qualifier *q =
            MARQ_AT(&l->qualifiers, marq_loading_qualifier, i);
        if (!strncmp(q->key, key, length) && !q->key[length]) {
            return (uint16_t)i;
        }
    }
    return 0xffff;
}

bool marq_entry_name_qualifier(marq_loading *l, const marq_load_entry *e,
                               marq_entry_id *id)
{
    id->role = MARQ_ROLES;
    if (e->name.from == e->name.to) {
        return true; /* marq_entry_qualifier says so */
    }
    uint16_t found = marq_find_qualifier(l, e->text, e->name);
    marq_loading_qualifier *q;
    if (found != 0xffff) {
        q = MARQ_AT(&l->qualifiers, marq_loading_qualifier, found);
        if (!q->from_base) {
            marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_TWICE,
                             (marq_part){e->kind.from, e->name.to});
            return true;
        }
    } else {
        if (l->qualifiers.count == MARQ_QUALIFIERS_MOST) {
            marq_fault_add(&l->faults, e->text, MARQ_DIAG_VOCAB_FULL,
                           e->name, "qualifiers", NULL);
            return true;
        }
        found = (uint16_t)l->qualifiers.count;
        q = marq_array_add(&l->qualifiers);
        if (!q) {
            return false;
        }
        q->key = marq_form_key(l->arena, e->text->line + e->name.from,
                               e->name.to - e->name.from);
        if (!q->key) {
            return false;
        }
    }
    q->from_base = false;
    q->qualifier = (marq_qualifier){.position = MARQ_POSITIONS,
                                    .instead = 0xffff,
                                    .mirror_reverse = 0xffff};
    q->qualifier.name = marq_part_pooled(l, e->text, e->name);
    /* here and not with the other fields: names of variants are made of it */
    const marq_load_field *feminine = marq_entry_field(l, e, "feminine");
    if (feminine) {
        q->qualifier.feminine = marq_part_pooled(l, e->text, feminine->value);
    }
    id->role = MARQ_ROLE_QUALIFIER;
    id->id = found;
    return !l->faults.no_memory;
}

/* The qualifier a field names; 0xffff (and a fault) if there is none. */
static uint16_t named_qualifier(marq_loading *l, const marq_load_entry *e,
                                const char *key)
{
    const marq_load_field *field = marq_entry_field(l, e, key);
    if (!field || field->value.from == field->value.to) {
        return 0xffff;
    }
    uint16_t q = marq_find_qualifier(l, e->text, field->value);
    if (q == 0xffff) {
        marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_UNKNOWN,
                         field->value);
    }
    return q;
}

bool marq_entry_qualifier(marq_loading *l, const marq_load_entry *e,
                          const marq_entry_id *id)
{
    static const marq_field_rule rules[] = {
        {"written", false, true},  {"means", true, false},
        {"asks", false, false},    {"position", false, false},
        {"instead", false, false}, {"reverse", false, false},
        {"feminine", false, false},
        {"source", false, false},  {"note", false, true}};
    static const struct {
        const char *words;
        uint8_t ask;
    } asks[] = {
        {"nothing more", MARQ_ASK_NOTHING},
        {"closes front", MARQ_ASK_CLOSES_FRONT},
        {"closes back", MARQ_ASK_CLOSES_BACK},
        {"feet change", MARQ_ASK_CHANGES},
        {"feet stay", MARQ_ASK_STAYS},
        {"forward", MARQ_ASK_FORWARD},
        {"backward", MARQ_ASK_BACKWARD},
        {"sideways", MARQ_ASK_SIDEWAYS},
        {"leg front", MARQ_ASK_LEG_FRONT},
        {"leg side", MARQ_ASK_LEG_SIDE},
        {"leg behind", MARQ_ASK_LEG_BEHIND},
        {"a turn", MARQ_ASK_TURNS},
        {"passes", MARQ_ASK_PASSES}};
    marq_qualifier unused = {0}, *q = &unused;
    marq_entry_check(l, e, rules, sizeof rules / sizeof *rules);
    if (id->role == MARQ_ROLE_QUALIFIER) {
        q = &MARQ_AT(&l->qualifiers, marq_loading_qualifier, id->id)
                 ->qualifier;
    }
    const marq_load_field *field = marq_entry_field(l, e, "means");
    if (field) {
        q->means = marq_part_pooled(l, e->text, field->value);
    }
    field = marq_entry_field(l, e, "asks");
    if (field && field->value.from < field->value.to) {
        size_t i = 0, count = sizeof asks / sizeof *asks;
        while (i < count &&
               !marq_part_is(e->text, field->value, asks[i].words)) {
            i++;
        }
        if (i == count) {
            marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_UNKNOWN,
                             field->value);
        } else {
            q->ask = asks[i].ask;
        }
    }
    field = marq_entry_field(l, e, "position");
    if (field && field->value.from < field->value.to) {
        char words[32];
        marq_part_words(e->text, field->value, words, sizeof words);
        q->position = (uint8_t)marq_clause_position(words);
        if (q->position == MARQ_POSITIONS) {
            marq_fault_quote(&l->faults, e->text, MARQ_DIAG_VOCAB_UNKNOWN,
                             field->value);
        }
    }
    q->instead = named_qualifier(l, e, "instead");
    q->mirror_reverse = named_qualifier(l, e, "reverse");
    return !l->faults.no_memory;
}
