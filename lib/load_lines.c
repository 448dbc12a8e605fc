#include "load_lines.h"

/* ---- faults ---- */
#define QUOTE_MOST 60 /* bytes of a line shown in a headline */

void marq_faults_init(marq_faults *faults, marq_arena *arena)
{
    faults->arena = arena;
    faults->no_memory = false;
    marq_array_init(&faults->list, arena, sizeof(marq_fault));
}

static marq_span source_span(const marq_load_text *text, marq_part part)
{
    return (marq_span){text->folded.place[part.from] + text->skipped,
                       text->folded.place[part.to] + text->skipped};
}

static const char *copy_text(marq_faults *faults, const char *text)
{
    if (!text) {
        return NULL;
    }
    const char *copy = marq_arena_copy(faults->arena, text, strlen(text));
    if (!copy) {
        faults->no_memory = true;
    }
    return copy;
}

void marq_fault_add(marq_faults *faults, const marq_load_text *text,
                    marq_diag kind, marq_part part, const char *a,
                    const char *b)
{
    marq_fault fault = {.order = (uint32_t)faults->list.count,
                        .text = text,
                        .kind = kind};
    if (text) {
        fault.span = source_span(text, part);
    }
    fault.a = copy_text(faults, a);
    fault.b = copy_text(faults, b);
    marq_fault *added = marq_array_add(&faults->list);
    if (!added) {
        faults->no_memory = true;
        return;
    }
    *added = fault;
}

void marq_fault_quote(marq_faults *faults, const marq_load_text *text,
                      marq_diag kind, marq_part part)
{
    const char *written = marq_part_written(text, faults->arena, part);
    if (!written) {
        faults->no_memory = true;
        return;
    }
    size_t length = strlen(written);
    if (length > QUOTE_MOST) {
        marq_build build;
        length = QUOTE_MOST;
        while (length > 0 && ((unsigned char)written[length] & 0xc0) == 0x80) {
            length--;
        }
        marq_build_init(&build, faults->arena);
        marq_build_bytes(&build, written, length);
        marq_build_text(&build, " ...");
        written = marq_build_done(&build, NULL);
        if (!written) {
            faults->no_memory = true;
            return;
        }
    }
    marq_fault_add(faults, text, kind, part, written, NULL);
}

static bool comes_before(const marq_fault *a, const marq_fault *b)
{
    uint32_t text_a = a->text ? a->text->index : 0;
    uint32_t text_b = b->text ? b->text->index : 0;
    if (text_a != text_b) {
        return text_a < text_b;
    }
    if (a->span.from != b->span.from) {
        return a->span.from < b->span.from;
    }
    return a->order < b->order;
}

static void sink_fault(marq_fault *at, size_t root, size_t count)
{
    for (;;) {
        size_t child = 2 * root + 1;
        if (child >= count) {
            return;
        }
        if (child + 1 < count && comes_before(&at[child], &at[child + 1])) {
            child++;
        }
        if (!comes_before(&at[root], &at[child])) {
            return;
        }
        marq_fault swap = at[root];
        at[root] = at[child];
        at[child] = swap;
        root = child;
    }
}

/* By heap: the library's qsort may call malloc behind our back. */
static void sort_faults(marq_fault *at, size_t count)
{
    for (size_t i = count / 2; i > 0; i--) {
        sink_fault(at, i - 1, count);
    }
    for (size_t end = count; end > 1; end--) {
        marq_fault swap = at[0];
        at[0] = at[end - 1];
        at[end - 1] = swap;
        sink_fault(at, 0, end - 1);
    }
}

marq_status marq_faults_tell(marq_faults *faults, marq_findings *why)
{
    marq_fault *at = faults->list.at;
    if (faults->no_memory) {
        return MARQ_MEMORY;
    }
    sort_faults(at, faults->list.count);
    for (size_t i = 0; i < faults->list.count; i++) {
        marq_finding *finding;
        marq_status s = marq_findings_add(why, &finding, at[i].kind,
                                          at[i].span, at[i].a, at[i].b, NULL);
        if (s == MARQ_OK && finding && at[i].text) {
            s = marq_finding_label(why, finding, at[i].text->name);
        }
        if (s != MARQ_OK) {
            return s;
        }
    }
    return MARQ_OK;
}

/* ---- reading parts ---- */
marq_part marq_part_trim(const marq_load_text *text, marq_part part)
{
    while (part.from < part.to && text->line[part.from] == ' ') {
        part.from++;
    }
    while (part.to > part.from && text->line[part.to - 1] == ' ') {
        part.to--;
    }
    return part;
}

bool marq_part_next(const marq_load_text *text, marq_part *rest,
                    const char *marks, marq_part *piece, char *mark)
{
    if (rest->from > rest->to) {
        return false;
    }
    uint32_t at = rest->from;
    while (at < rest->to && !strchr(marks, text->line[at])) {
        at++;
    }
    *piece = marq_part_trim(text, (marq_part){rest->from, at});
    if (mark) {
        *mark = '\0';
        if (at < rest->to) {
            *mark = text->line[at];
        }
    }
    rest->from = at + 1; /* beyond `to` after the last piece */
    return true;
}

bool marq_part_words(const marq_load_text *text, marq_part part, char *out,
                     size_t room)
{
    size_t n = 0;
    part = marq_part_trim(text, part);
    for (uint32_t i = part.from; i < part.to; i++) {
        char c = text->line[i];
        if (c == ' ' && n > 0 && out[n - 1] == ' ') {
            continue;
        }
        if (n + 1 >= room) {
            out[n] = '\0';
            return false;
        }
        out[n++] = c;
    }
    out[n] = '\0';
    return true;
}

bool marq_part_is(const marq_load_text *text, marq_part part,
                  const char *words)
{
    char own[80];
    return marq_part_words(text, part, own, sizeof own) &&
           !strcmp(own, words);
}

const char *marq_part_written(const marq_load_text *text, marq_arena *arena,
                              marq_part part)
{
    marq_build build;
    bool blank = false;
    marq_build_init(&build, arena);
    part = marq_part_trim(text, part);
    for (uint32_t i = part.from; i < part.to; i++) {
        if (text->line[i] == ' ') {
            blank = true;
            continue;
        }
        if (blank) {
            marq_build_char(&build, ' ');
            blank = false;
        }
        /* Folding may make two bytes of one character or one of several:
         * each source byte belongs to the last folded byte made of it. */
        for (uint32_t at = text->folded.place[i];
             at < text->folded.place[i + 1]; at++) {
            if (text->bytes[at] != '\r') {
                marq_build_char(&build, text->bytes[at]);
            }
        }
    }
    return marq_build_done(&build, NULL);
}

bool marq_part_number(const marq_load_text *text, marq_part part,
                      uint32_t most, uint32_t *out)
{
    uint64_t number = 0;
    if (part.from == part.to) {
        return false;
    }
    for (uint32_t i = part.from; i < part.to; i++) {
        char c = text->line[i];
        if (c < '0' || c > '9') {
            return false;
        }
        number = number * 10 + (uint64_t)(c - '0');
        if (number > most) {
            return false;
        }
    }
    *out = (uint32_t)number;
    return true;
}

/* ---- cutting ---- */
typedef struct cutter {
    marq_load_text *text;
    marq_array *entries, *fields;
    marq_faults *faults;
    uint32_t field_indent;
    bool in_entry, in_field;
} cutter;

/* End of what counts on a line: before a comment, without blanks. */
static uint32_t end_of_line(marq_load_text *text, uint32_t from, uint32_t to)
{
    char *line = text->line;
    for (uint32_t i = from; i < to; i++) {
        if (line[i] == '#' && (i == from || line[i - 1] == ' ')) {
            memset(line + i, ' ', to - i);
            break;
        }
    }
    while (to > from && line[to - 1] == ' ') {
        to--;
    }
    return to;
}

/* The first word of a part, and what follows it. */
static marq_part first_word(const marq_load_text *text, marq_part part,
                            marq_part *rest)
{
    uint32_t at = part.from;
    while (at < part.to && text->line[at] != ' ') {
        at++;
    }
    *rest = marq_part_trim(text, (marq_part){at, part.to});
    return (marq_part){part.from, at};
}

static marq_status add_entry(cutter *c, marq_part part)
{
    marq_load_entry *entry = marq_array_add(c->entries);
    if (!entry) {
        return MARQ_MEMORY;
    }
    entry->text = c->text;
    entry->kind = first_word(c->text, part, &entry->name);
    entry->first_field = (uint32_t)c->fields->count;
    c->in_entry = true;
    c->in_field = false;
    return MARQ_OK;
}

static marq_status add_field(cutter *c, marq_part part, uint32_t indent)
{
    if (!c->in_entry) {
        marq_fault_quote(c->faults, c->text, MARQ_DIAG_VOCAB_FIELD, part);
        return MARQ_OK;
    }
    if (c->in_field && indent > c->field_indent) {
        marq_load_field *last =
            MARQ_AT(c->fields, marq_load_field, c->fields->count - 1);
        bool empty = last->value.from == last->value.to;
        memset(c->text->line + last->value.to, ' ',
               part.from - last->value.to);
        last->value.to = part.to;
        if (empty) {
            last->value.from = part.from;
        }
        return MARQ_OK;
    }
    marq_load_field *field = marq_array_add(c->fields);
    if (!field) {
        return MARQ_MEMORY;
    }
    field->key = first_word(c->text, part, &field->value);
    MARQ_AT(c->entries, marq_load_entry, c->entries->count - 1)
        ->field_count++;
    c->field_indent = indent;
    c->in_field = true;
    return MARQ_OK;
}

static marq_status cut_line(cutter *c, uint32_t from, uint32_t to)
{
    uint32_t at = from;
    while (at < to && c->text->line[at] == ' ') {
        at++;
    }
    marq_part part = {at, end_of_line(c->text, at, to)};
    if (part.from == part.to) {
        return MARQ_OK;
    }
    return at == from ? add_entry(c, part) : add_field(c, part, at - from);
}

marq_status marq_load_cut(marq_load_text *text, marq_arena *arena,
                          const char *name, const char *bytes, size_t length,
                          uint32_t index, marq_array *entries,
                          marq_array *fields, marq_faults *faults)
{
    static const char mark[] = "\xef\xbb\xbf";
    size_t broken;
    *text = (marq_load_text){.name = name ? name : "", .index = index};
    if (length > UINT32_MAX / 8) {
        return MARQ_LIMIT;
    }
    if (length >= 3 && !memcmp(bytes, mark, 3)) {
        text->skipped = 3;
    }
    text->bytes = length ? bytes + text->skipped : "";
    marq_status s = marq_text_fold(&text->folded, arena, text->bytes,
                                   length - text->skipped, &broken);
    if (s != MARQ_OK) {
        return s;
    }
    if (text->folded.length > UINT32_MAX - 1) {
        return MARQ_LIMIT;
    }
    text->line = marq_arena_copy(arena, text->folded.bytes,
                                 text->folded.length);
    if (!text->line) {
        return MARQ_MEMORY;
    }
    cutter c = {text, entries, fields, faults, 0, false, false};
    uint32_t end = (uint32_t)text->folded.length;
    for (uint32_t from = 0; from < end;) {
        uint32_t to = from;
        for (; to < end && text->line[to] != '\n'; to++) {
            if (broken && text->line[to] == 0x01) {
                marq_fault_add(faults, text, MARQ_DIAG_VOCAB_FIELD,
                               (marq_part){to, to + 1},
                               "a byte that is not text", NULL);
            }
        }
        s = cut_line(&c, from, to);
        if (s != MARQ_OK) {
            return s;
        }
        from = to + 1;
    }
    return MARQ_OK;
}
