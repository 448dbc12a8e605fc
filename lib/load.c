#include "load.h"

#include "load_entry.h"

/* ---- what an overlay lies on ---- */
static bool import_base(marq_loading *l, const marq_vocab_data *base)
{
    for (size_t i = 0; i < base->term_count; i++) {
        marq_loading_term *t = marq_array_add(&l->terms);
        if (!t) {
            return false;
        }
        *t = (marq_loading_term){base->terms[i], true};
    }
    for (size_t i = 0; i < base->variant_count; i++) {
        marq_variant *v = marq_array_add(&l->variants);
        if (!v) {
            return false;
        }
        *v = base->variants[i];
        v->span = (marq_span){0, 0}; /* its text is not here */
        v->text = 0;
    }
    for (size_t i = 0; i < base->qualifier_count; i++) {
        const char *name = base->strings + base->qualifiers[i].name;
        const char *folded =
            marq_text_fold_string(l->arena, name, strlen(name));
        marq_loading_qualifier *q = marq_array_add(&l->qualifiers);
        if (!q || !folded) {
            return false;
        }
        q->qualifier = base->qualifiers[i];
        q->key = marq_form_key(l->arena, folded, strlen(folded));
        q->from_base = true;
        if (!q->key) {
            return false;
        }
    }
    for (size_t i = 0; i < base->free_word_count; i++) {
        marq_free_word *w = marq_array_add(&l->free_words);
        if (!w) {
            return false;
        }
        *w = base->free_words[i];
    }
    for (size_t i = 0; i < base->notation_count; i++) {
        marq_notation_line *n = marq_array_add(&l->notations);
        if (!n) {
            return false;
        }
        *n = base->notations[i];
        l->notation_from_base[n->notation] = true;
    }
    for (size_t i = 0; i < MARQ_PRICES; i++) {
        l->prices[i] = base->prices[i];
        l->price_from[i] = 1;
    }
    return true;
}

/* Forms of the base, but for what has been replaced. */
static bool import_forms(marq_loading *l, const marq_vocab_data *base)
{
    for (size_t i = 0; i < base->form_count; i++) {
        const marq_form *form = &base->forms[i];
        const char *key = base->strings + form->text;
        const char *shown = base->strings + form->shown;
        for (size_t s = 0; s < form->sense_count; s++) {
            marq_sense sense = base->senses[form->first_sense + s];
            bool stays = true;
            if (sense.role == MARQ_ROLE_TERM) {
                stays = MARQ_AT(&l->terms, marq_loading_term, sense.id)
                            ->from_base;
            } else if (sense.role == MARQ_ROLE_QUALIFIER) {
                stays = MARQ_AT(&l->qualifiers, marq_loading_qualifier,
                                sense.id)
                            ->from_base;
            }
            if (stays && marq_form_table_add(&l->forms, key, strlen(key),
                                             shown, strlen(shown), sense,
                                             MARQ_SENSE_BASE) !=
                             MARQ_FORM_ADDED) {
                return false;
            }
        }
    }
    return true;
}

/* ---- the format line ---- */
/* Is the text one to go on with?  Its first entry is in `entries` at
 * `first`, if it has any. */
static bool check_format(marq_loading *l, const marq_load_text *text,
                         size_t first)
{
    const char *who = text->name[0] ? text->name : "this text";
    uint32_t number;
    if (first == l->entries.count) {
        marq_fault_add(&l->faults, text, MARQ_DIAG_VOCAB_MISSING,
                       (marq_part){0, 0}, who, "format");
        return false;
    }
    const marq_load_entry *e = MARQ_AT(&l->entries, marq_load_entry, first);
    if (!marq_part_is(text, e->kind, "format")) {
        marq_fault_add(&l->faults, text, MARQ_DIAG_VOCAB_MISSING, e->kind,
                       who, "format as its first entry");
        return true;
    }
    if (!marq_part_number(text, e->name, MARQ_VOCAB_FORMAT_NEWEST,
                          &number) ||
        number < MARQ_VOCAB_FORMAT_OLDEST) {
        marq_fault_quote(&l->faults, text, MARQ_DIAG_VOCAB_FORMAT,
                         marq_entry_part(e));
        return false;
    }
    marq_entry_check(l, e, NULL, 0); /* it has no fields */
    return true;
}

/* ---- the steps over all entries ---- */
static bool is_kind(const marq_load_entry *e, const char *kind)
{
    return marq_part_is(e->text, e->kind, kind);
}

static bool read_entries(marq_loading *l, const marq_vocab_data *base)
{
    size_t n = l->entries.count;
    marq_load_entry *e = l->entries.at;
    marq_entry_id *ids = marq_arena_alloc(l->arena, n, sizeof *ids);
    if (!ids) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        ids[i].role = MARQ_ROLES;
        if (is_kind(&e[i], "qualifier") &&
            !marq_entry_name_qualifier(l, &e[i], &ids[i])) {
            return false;
        }
    }
    for (size_t i = 0; i < n; i++) {
        bool good = true;
        if (is_kind(&e[i], "qualifier")) {
            good = marq_entry_qualifier(l, &e[i], &ids[i]);
        } else if (is_kind(&e[i], "term")) {
            good = marq_entry_term(l, &e[i], &ids[i]);
        } else if (is_kind(&e[i], "format")) {
            if (i > 0 && e[i - 1].text == e[i].text) {
                marq_fault_quote(&l->faults, e[i].text,
                                 MARQ_DIAG_VOCAB_TWICE, e[i].kind);
            }
        } else {
            good = marq_entry_word(l, &e[i], &ids[i]);
        }
        if (!good || l->faults.no_memory) {
            return false;
        }
    }
    if (base && !import_forms(l, base)) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        if (!marq_entry_forms(l, &e[i], &ids[i]) || l->faults.no_memory) {
            return false;
        }
    }
    return true;
}

static void check_prices(marq_loading *l, const marq_load_text *text)
{
    for (unsigned p = 0; p < MARQ_PRICES; p++) {
        if (l->price_from[p]) {
            continue;
        }
        marq_build build;
        marq_build_init(&build, l->arena);
        marq_build_text(&build, "price ");
        marq_build_text(&build, marq_price_name((marq_price)p));
        const char *what = marq_build_done(&build, NULL);
        if (!what) {
            l->faults.no_memory = true;
            return;
        }
        marq_fault_add(&l->faults, text, MARQ_DIAG_VOCAB_MISSING,
                       (marq_part){0, 0}, "the vocabulary", what);
    }
}

/* ---- writing it out ---- */
/* Variants in the order of their terms, those of replaced terms left out. */
static marq_status write_terms(marq_loading *l, marq_vocab_data *out)
{
    const marq_variant *from = l->variants.at;
    size_t term_count = l->terms.count, n = 0;
    marq_term *terms = marq_arena_alloc(l->arena, term_count, sizeof *terms);
    marq_variant *to = marq_arena_alloc(l->arena, l->variants.count,
                                        sizeof *to);
    if (!terms || !to) {
        return MARQ_MEMORY;
    }
    for (size_t t = 0; t < term_count; t++) {
        terms[t] = MARQ_AT(&l->terms, marq_loading_term, t)->term;
        size_t first = terms[t].first_variant;
        for (size_t i = 0; i < terms[t].variant_count; i++) {
            to[n + i] = from[first + i];
            to[n + i].term = (uint16_t)t;
            if (to[n + i].reverse != 0xffff) { /* of the same term */
                to[n + i].reverse =
                    (uint16_t)(to[n + i].reverse - first + n);
            }
        }
        terms[t].first_variant = (uint16_t)n;
        n += terms[t].variant_count;
    }
    out->terms = terms;
    out->term_count = term_count;
    out->variants = to;
    out->variant_count = n;
    return MARQ_OK;
}

static marq_status write_out(marq_loading *l, marq_vocab_data *out)
{
    size_t n = l->qualifiers.count;
    marq_vocab_data data = {.format = MARQ_VOCAB_FORMAT_NEWEST};
    marq_qualifier *qualifiers =
        marq_arena_alloc(l->arena, n, sizeof *qualifiers);
    marq_status s = qualifiers ? write_terms(l, &data) : MARQ_MEMORY;
    if (s != MARQ_OK) {
        return s;
    }
    for (size_t i = 0; i < n; i++) {
        qualifiers[i] =
            MARQ_AT(&l->qualifiers, marq_loading_qualifier, i)->qualifier;
    }
    s = marq_form_table_finish(&l->forms, &data);
    if (s != MARQ_OK) {
        return s;
    }
    data.qualifiers = qualifiers;
    data.qualifier_count = n;
    data.free_words = l->free_words.at;
    data.free_word_count = l->free_words.count;
    data.notations = l->notations.at;
    data.notation_count = l->notations.count;
    memcpy(data.prices, l->prices, sizeof data.prices);
    data.strings = marq_build_done(&l->pool.bytes, &data.string_bytes);
    if (!data.strings) {
        return MARQ_MEMORY;
    }
    *out = data;
    return MARQ_OK;
}

/* ---- the whole ---- */
static void init_loading(marq_loading *l, marq_arena *arena,
                         const marq_vocab_data *base)
{
    *l = (marq_loading){.arena = arena};
    marq_faults_init(&l->faults, arena);
    marq_array_init(&l->entries, arena, sizeof(marq_load_entry));
    marq_array_init(&l->fields, arena, sizeof(marq_load_field));
    marq_array_init(&l->terms, arena, sizeof(marq_loading_term));
    marq_array_init(&l->variants, arena, sizeof(marq_variant));
    marq_array_init(&l->qualifiers, arena, sizeof(marq_loading_qualifier));
    marq_array_init(&l->free_words, arena, sizeof(marq_free_word));
    marq_array_init(&l->notations, arena, sizeof(marq_notation_line));
    marq_pool_init(&l->pool, arena, base);
    marq_form_table_init(&l->forms, arena, &l->pool);
}

/* Cuts all texts; *whole tells whether each could be read to its end. */
static marq_status cut_texts(marq_loading *l, marq_load_text *cut,
                             const marq_vocab_text *texts, size_t text_count,
                             bool *whole)
{
    for (size_t i = 0; i < text_count; i++) {
        size_t first = l->entries.count;
        marq_status s = marq_load_cut(&cut[i], l->arena, texts[i].name,
                                      texts[i].text, texts[i].length,
                                      (uint32_t)i, &l->entries, &l->fields,
                                      &l->faults);
        if (s != MARQ_OK) {
            return s;
        }
        if (!check_format(l, &cut[i], first)) {
            /* Of another format: what follows is not for us to judge. */
            l->entries.count = first;
            *whole = false;
        }
    }
    return MARQ_OK;
}

marq_status marq_load(marq_vocab_data *out, marq_arena *arena,
                      const marq_vocab_data *base,
                      const marq_vocab_text *texts, size_t text_count,
                      marq_findings *why)
{
    marq_loading l;
    bool whole = true;
    init_loading(&l, arena, base);
    if (text_count > UINT16_MAX - 1u) {
        return MARQ_LIMIT;
    }
    marq_load_text *cut = marq_arena_alloc(arena, text_count, sizeof *cut);
    if (!cut || (base && !import_base(&l, base))) {
        return MARQ_MEMORY;
    }
    marq_status s = cut_texts(&l, cut, texts, text_count, &whole);
    if (s != MARQ_OK) {
        return s;
    }
    if (!read_entries(&l, base)) {
        return MARQ_MEMORY;
    }
    if (!base && whole) {
        check_prices(&l, text_count ? &cut[0] : NULL);
    }
    if (l.faults.list.count > 0 || l.faults.no_memory) {
        s = l.faults.no_memory ? MARQ_MEMORY : MARQ_OK;
        if (s == MARQ_OK && why) {
            s = marq_faults_tell(&l.faults, why);
        }
        return s == MARQ_OK ? MARQ_VOCABULARY : s;
    }
    return write_out(&l, out);
}
