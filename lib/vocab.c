#include "vocab.h"

/* ---- names ---- */
typedef struct notation_row {
    const char *name;
    const char *parts[MARQ_PARTS_PER_NOTATION]; /* NULL ends them early */
} notation_row;

static const notation_row notation_rows[MARQ_NOTATIONS] = {
    [MARQ_NOTE_COUNT_RANGE] = {"count range", {"from", "to"}},
    [MARQ_NOTE_COUNT] = {"count", {"from"}},
    [MARQ_NOTE_COUNT_AND] = {"count and", {"and", "from"}},
    [MARQ_NOTE_TIMES] = {"times", {"n"}},
    [MARQ_NOTE_QUANTITY] = {"quantity", {"n"}},
    [MARQ_NOTE_FOOT] = {"foot", {"right", "left"}},
    [MARQ_NOTE_FOOT_FRONT] = {"foot front",
                              {"right", "left", "back", "position"}},
    [MARQ_NOTE_NUMBERED] = {"numbered", {"n", "school"}},
    [MARQ_NOTE_LENGTH] = {"length", {"n"}},
    [MARQ_NOTE_TEMPO] = {"tempo", {"n"}},
    [MARQ_NOTE_METRE] = {"metre", {"n", "unit"}},
};

static const char *const price_names[MARQ_PRICES] = {
    [MARQ_PRICE_QUIET] = "quiet link",
    [MARQ_PRICE_CLOSING] = "closing link",
    [MARQ_PRICE_CLOSE_SIDE_FRONT] = "side leg closed in front",
    [MARQ_PRICE_OPENING] = "opening link",
    [MARQ_PRICE_START_FIFTH] = "start in fifth",
    [MARQ_PRICE_START_FIRST] = "start in first",
    [MARQ_PRICE_START_POSE] = "start in a pose",
    [MARQ_PRICE_START_OTHER] = "start elsewhere",
    [MARQ_PRICE_OTHER_CROISE] = "from one croisé to the other",
    [MARQ_PRICE_BONUS] = "bonus",
    [MARQ_PRICE_EDIT_FORM] = "edit form",
    [MARQ_PRICE_EDIT_PUT_IN] = "edit put in",
    [MARQ_PRICE_EDIT_WORD] = "edit word",
    [MARQ_PRICE_EDIT_LEAVE_OUT] = "edit leave out",
};

static const char *const position_names[MARQ_POSITIONS] = {
    [MARQ_FIRST] = "first",       [MARQ_SECOND] = "second",
    [MARQ_PARALLEL] = "parallel", [MARQ_THIRD] = "third",
    [MARQ_FOURTH] = "fourth",     [MARQ_FIFTH] = "fifth",
    [MARQ_TIPS] = "tips",
};

const char *const *marq_notation_parts(marq_notation n, size_t *count)
{
    const notation_row *row = &notation_rows[n];
    size_t i = 0;
    while (i < MARQ_PARTS_PER_NOTATION && row->parts[i]) {
        i++;
    }
    *count = i;
    return row->parts;
}

const char *marq_notation_name(marq_notation n)
{
    return notation_rows[n].name;
}

const char *marq_price_name(marq_price p)
{
    return price_names[p];
}

const char *marq_position_name(marq_position p)
{
    return position_names[p];
}

/* ---- a vocabulary around data ---- */
void marq_limits_fill(marq_limits *limits)
{
    static const marq_limits usual = {
        .text_bytes = (size_t)64 << 20,
        .words = 8000000,
        .moves = 1000000,
        .findings = 10000,
        .times = 1024,
        .corrections = 20000,
    };
    limits->text_bytes = limits->text_bytes ? limits->text_bytes
                                            : usual.text_bytes;
    limits->words = limits->words ? limits->words : usual.words;
    limits->moves = limits->moves ? limits->moves : usual.moves;
    limits->findings = limits->findings ? limits->findings : usual.findings;
    limits->times = limits->times ? limits->times : usual.times;
    limits->corrections = limits->corrections ? limits->corrections
                                              : usual.corrections;
}

void marq_vocab_release(marq_vocab *vocab)
{
    if (!vocab) {
        return;
    }
    if (vocab->patterns) {
        for (size_t i = 0; i < vocab->data->notation_count; i++) {
            marq_pattern_free(vocab->patterns[i]);
        }
        marq_mem_free(vocab->mem, vocab->patterns);
    }
    marq_arena_free(&vocab->arena);
    marq_mem_free(vocab->mem, vocab);
}

static marq_status compile_patterns(marq_vocab *vocab)
{
    const marq_vocab_data *data = vocab->data;
    size_t n = data->notation_count, bytes;
    if (!marq_mul_size(&bytes, n ? n : 1, sizeof *vocab->patterns)) {
        return MARQ_MEMORY;
    }
    vocab->patterns = marq_mem_alloc(vocab->mem, bytes);
    if (!vocab->patterns) {
        return MARQ_MEMORY;
    }
    for (size_t i = 0; i < n; i++) {
        vocab->patterns[i] = NULL;
    }
    for (size_t i = 0; i < n; i++) {
        const marq_notation_line *line = &data->notations[i];
        const char *text = data->strings + line->pattern;
        const char *fault;
        size_t at, part_count;
        const char *const *parts =
            marq_notation_parts((marq_notation)line->notation, &part_count);
        marq_status s = marq_pattern_compile(&vocab->patterns[i], vocab->mem,
                                             text, strlen(text), parts,
                                             part_count, &at, &fault);
        if (s != MARQ_OK) {
            vocab->patterns[i] = NULL;
            return s == MARQ_VOCABULARY ? MARQ_DEFECT : s;
        }
    }
    return MARQ_OK;
}

marq_status marq_vocab_wrap(marq_vocab **out, const marq_config *config,
                            const marq_vocab_data *data)
{
    marq_mem mem = marq_mem_of(config);
    marq_vocab *vocab = marq_mem_alloc(mem, sizeof *vocab);
    *out = NULL;
    if (!vocab) {
        return MARQ_MEMORY;
    }
    *vocab = (marq_vocab){.mem = mem, .data = data};
    if (config) {
        vocab->limits = config->limits;
    }
    marq_limits_fill(&vocab->limits);
    marq_arena_init(&vocab->arena, mem);
    marq_status s = compile_patterns(vocab);
    if (s != MARQ_OK) {
        marq_vocab_release(vocab);
        return s;
    }
    *out = vocab;
    return MARQ_OK;
}

/* ---- keys of forms ---- */
static bool is_gap(char c)
{
    return c == ' ' || c == '-' || c == '\n' || c == '\t';
}

/* One word without its full stops and its plural.  False: no room. */
static bool put_word(char *out, size_t room, const char *word, size_t length,
                     size_t *used)
{
    size_t n = *used, letters = 0, stops = 0;
    for (size_t i = 0; i < length; i++) {
        if (word[i] == '.') {
            stops++;
            continue;
        }
        if (n == room) {
            return false;
        }
        out[n++] = word[i];
        letters += ((unsigned char)word[i] & 0xc0) != 0x80;
    }
    if (!letters && stops > 1) { /* an ellipsis is a word of its own */
        if (stops > room - n) {
            return false;
        }
        memset(out + n, '.', stops);
        n += stops;
    } else if (letters > 3 && (out[n - 1] == 's' || out[n - 1] == 'x')) {
        n--;
    }
    *used = n;
    return true;
}

bool marq_form_key_into(char *out, size_t room, const char *folded,
                        size_t length, size_t *used)
{
    size_t n = 0, i = 0;
    for (;;) {
        while (i < length && is_gap(folded[i])) {
            i++;
        }
        if (i == length) {
            break;
        }
        size_t from = i;
        while (i < length && !is_gap(folded[i])) {
            i++;
        }
        size_t before = n;
        if (n > 0) {
            if (n == room) {
                return false;
            }
            out[n++] = ' ';
        }
        size_t start = n;
        if (!put_word(out, room, folded + from, i - from, &n)) {
            return false;
        }
        if (n == start) { /* a lone full stop */
            n = before;
        }
    }
    *used = n;
    return true;
}

const char *marq_form_key(marq_arena *arena, const char *folded,
                          size_t length)
{
    /* A key is never longer than its text. */
    char *out = marq_arena_alloc(arena, length + 1, 1);
    size_t used;
    if (!out || !marq_form_key_into(out, length, folded, length, &used)) {
        return NULL;
    }
    out[used] = '\0';
    return out;
}

uint32_t marq_form_hash_more(uint32_t hash, const char *bytes, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        hash = (hash ^ (unsigned char)bytes[i]) * UINT32_C(16777619);
    }
    return hash;
}

uint32_t marq_form_hash(const char *key, size_t length)
{
    return marq_form_hash_more(MARQ_HASH_START, key, length);
}

uint32_t marq_form_letters(const char *key, size_t length)
{
    uint32_t letters = 0;
    for (size_t i = 0; i < length; i++) {
        char c = key[i];
        unsigned bit = c >= 'a' && c <= 'z'   ? (unsigned)(c - 'a')
                       : c >= '0' && c <= '9' ? 26u
                       : c == ' '             ? 31u
                                              : 27u;
        letters |= UINT32_C(1) << bit;
    }
    return letters & UINT32_C(0x0fffffff);
}

const marq_form *marq_form_find_hashed(const marq_vocab_data *data,
                                       uint32_t hash, const char *key,
                                       size_t length)
{
    if (!data->slot_count) {
        return NULL;
    }
    size_t mask = data->slot_count - 1;
    /* At most half of the slots are taken, so an empty one ends the walk. */
    for (size_t i = hash & mask; data->slots[i]; i = (i + 1) & mask) {
        const marq_form *form = &data->forms[data->slots[i] - 1];
        const char *text = data->strings + form->text;
        if (form->hash == hash && !strncmp(text, key, length) &&
            !text[length]) {
            return form;
        }
    }
    return NULL;
}

const marq_form *marq_form_find(const marq_vocab_data *data, const char *key,
                                size_t length)
{
    return marq_form_find_hashed(data, marq_form_hash(key, length), key,
                                 length);
}
