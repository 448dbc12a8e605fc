#include "load_forms.h"

/* ---- the string pool ---- */
void marq_pool_init(marq_pool *pool, marq_arena *arena,
                    const marq_vocab_data *base)
{
    marq_build_init(&pool->bytes, arena);
    if (base) {
        marq_build_bytes(&pool->bytes, base->strings, base->string_bytes);
    } else {
        marq_build_char(&pool->bytes, '\0');
    }
}

marq_str marq_pool_add(marq_pool *pool, const char *text, size_t length)
{
    size_t at = pool->bytes.bytes.count;
    if (length == 0) {
        return 0;
    }
    if (at > UINT32_MAX || length > UINT32_MAX - at - 1) {
        pool->bytes.failed = true;
        return 0;
    }
    marq_build_bytes(&pool->bytes, text, length);
    marq_build_char(&pool->bytes, '\0');
    return pool->bytes.failed ? 0 : (marq_str)at;
}

/* ---- forms ---- */
typedef struct pending_sense {
    marq_sense sense;
    uint8_t flags;
    uint32_t next; /* index + 1 */
} pending_sense;

typedef struct chain_ends {
    uint32_t first, last; /* index + 1 */
} chain_ends;

void marq_form_table_init(marq_form_table *table, marq_arena *arena,
                          marq_pool *pool)
{
    *table = (marq_form_table){.arena = arena, .pool = pool};
    marq_array_init(&table->forms, arena, sizeof(marq_form));
    marq_array_init(&table->ends, arena, sizeof(chain_ends));
    marq_array_init(&table->senses, arena, sizeof(pending_sense));
}

static void put_slot(uint32_t *slots, size_t slot_count, uint32_t hash,
                     uint32_t form)
{
    size_t i = hash & (slot_count - 1);
    while (slots[i]) {
        i = (i + 1) & (slot_count - 1);
    }
    slots[i] = form + 1;
}

/* Room for one form more at most half full.  False: memory. */
static bool grow_slots(marq_form_table *table)
{
    if ((table->forms.count + 1) * 2 <= table->slot_count) {
        return true;
    }
    size_t count = table->slot_count ? table->slot_count * 2 : 64;
    uint32_t *slots = marq_arena_alloc(table->arena, count, sizeof *slots);
    if (!slots) {
        return false;
    }
    for (size_t i = 0; i < table->forms.count; i++) {
        put_slot(slots, count, MARQ_AT(&table->forms, marq_form, i)->hash,
                 (uint32_t)i);
    }
    table->slots = slots;
    table->slot_count = count;
    return true;
}

static marq_form *find_form(const marq_form_table *table, uint32_t hash,
                            const char *key, size_t length)
{
    const char *strings = table->pool->bytes.bytes.at;
    size_t mask = table->slot_count - 1;
    if (!table->slot_count) {
        return NULL;
    }
    for (size_t i = hash & mask; table->slots[i]; i = (i + 1) & mask) {
        marq_form *form =
            MARQ_AT(&table->forms, marq_form, table->slots[i] - 1);
        if (form->hash == hash &&
            !strncmp(strings + form->text, key, length) &&
            !strings[form->text + length]) {
            return form;
        }
    }
    return NULL;
}

static marq_form *new_form(marq_form_table *table, uint32_t hash,
                           const char *key, size_t length, const char *shown,
                           size_t shown_length)
{
    if (!grow_slots(table)) {
        return NULL;
    }
    chain_ends *ends = marq_array_add(&table->ends);
    marq_form *form = marq_array_add(&table->forms);
    if (!ends || !form) {
        return NULL;
    }
    bool same = length == shown_length && !memcmp(key, shown, length);
    form->text = marq_pool_add(table->pool, key, length);
    form->shown = same ? form->text
                       : marq_pool_add(table->pool, shown, shown_length);
    form->hash = hash;
    form->letters = marq_form_letters(key, length);
    form->words = 1;
    for (size_t i = 0; i < length; i++) {
        if (key[i] == ' ') {
            form->words++; /* at most MARQ_FORM_BYTES_MOST / 2 */
        }
    }
    put_slot(table->slots, table->slot_count, hash,
             (uint32_t)(table->forms.count - 1));
    return table->pool->bytes.failed ? NULL : form;
}

static bool is_word_role(uint8_t role)
{
    return role != MARQ_ROLE_TERM && role != MARQ_ROLE_QUALIFIER;
}

/* Looks for the sense among those the form has.  True: nothing to add. */
static bool meet_senses(marq_form_table *table, const chain_ends *ends,
                        marq_sense sense, unsigned flags,
                        marq_form_answer *answer)
{
    for (uint32_t i = ends->first; i;) {
        pending_sense *old =
            MARQ_AT(&table->senses, pending_sense, i - 1);
        i = old->next;
        if (old->sense.role != sense.role) {
            continue;
        }
        if (old->flags & flags & MARQ_SENSE_NAME &&
            !(old->flags & MARQ_SENSE_BASE) && is_word_role(sense.role)) {
            *answer = MARQ_FORM_TWICE;
            return true;
        }
        if (old->flags & MARQ_SENSE_BASE && !(flags & MARQ_SENSE_BASE) &&
            is_word_role(sense.role)) {
            old->sense.id = sense.id;
            old->flags = (uint8_t)flags;
            return true;
        }
        if (old->sense.id == sense.id) {
            old->flags |= (uint8_t)(flags & MARQ_SENSE_NAME);
            return true;
        }
    }
    return false;
}

marq_form_answer marq_form_table_add(marq_form_table *table, const char *key,
                                     size_t length, const char *shown,
                                     size_t shown_length, marq_sense sense,
                                     unsigned flags)
{
    uint32_t hash = marq_form_hash(key, length);
    marq_form *form = find_form(table, hash, key, length);
    marq_form_answer answer = MARQ_FORM_ADDED;
    if (!form) {
        if (table->forms.count >= MARQ_FORMS_MOST) {
            return MARQ_FORM_FULL;
        }
        form = new_form(table, hash, key, length, shown, shown_length);
        if (!form) {
            return MARQ_FORM_NO_MEMORY;
        }
    }
    size_t at = (size_t)(form - (marq_form *)table->forms.at);
    chain_ends *ends = MARQ_AT(&table->ends, chain_ends, at);
    if (meet_senses(table, ends, sense, flags, &answer)) {
        return answer;
    }
    if (form->sense_count == MARQ_SENSES_MOST) {
        return MARQ_FORM_FULL;
    }
    pending_sense *added = marq_array_add(&table->senses);
    if (!added) {
        return MARQ_FORM_NO_MEMORY;
    }
    added->sense = sense;
    added->flags = (uint8_t)flags;
    uint32_t number = (uint32_t)table->senses.count;
    if (ends->last) {
        MARQ_AT(&table->senses, pending_sense, ends->last - 1)->next = number;
    } else {
        ends->first = number;
    }
    ends->last = number;
    form->sense_count++;
    return MARQ_FORM_ADDED;
}

marq_status marq_form_table_finish(marq_form_table *table,
                                   marq_vocab_data *out)
{
    marq_form *forms = table->forms.at;
    size_t n = 0;
    marq_sense *senses = marq_arena_alloc(table->arena, table->senses.count,
                                          sizeof *senses);
    if (!senses || !grow_slots(table)) {
        return MARQ_MEMORY;
    }
    out->longest_form = 0;
    for (size_t i = 0; i < table->forms.count; i++) {
        forms[i].first_sense = (uint32_t)n;
        uint32_t at = MARQ_AT(&table->ends, chain_ends, i)->first;
        while (at) {
            const pending_sense *p =
                MARQ_AT(&table->senses, pending_sense, at - 1);
            senses[n].role = p->sense.role;
            senses[n].id = p->sense.id;
            n++;
            at = p->next;
        }
        if (forms[i].words > out->longest_form) {
            out->longest_form = forms[i].words;
        }
    }
    out->forms = forms;
    out->form_count = table->forms.count;
    out->senses = senses;
    out->sense_count = n;
    out->slots = table->slots;
    out->slot_count = table->slot_count;
    return MARQ_OK;
}
