/* ref_vocab.c - a small reader of vocab/, by vocab/README.md alone: files,
 * lines, entries. */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "ref_read.h"

void *ref_get_more(void *old, size_t count, size_t size)
{
    void *more = realloc(old, count * size);

    if (more == NULL) {
        fputs("ref: no memory\n", stderr);
        exit(70);
    }
    return more;
}

void ref_say_fault(ref_reader *r, const char *what, const char *where)
{
    fprintf(stderr, "ref: %s:%zu: %s: %s\n", r->file, r->line, what, where);
    r->failed = true;
}

const char *ref_keep_string(ref_reader *r, const char *from, size_t length)
{
    ref_vocab *v = r->vocab;
    char *copy = ref_get_more(NULL, length + 1, 1);

    memcpy(copy, from, length);
    copy[length] = '\0';
    v->kept = ref_get_more(v->kept, v->kept_count + 1, sizeof *v->kept);
    v->kept[v->kept_count++] = copy;
    return copy;
}

/* The words of [from, from + length), single blanks between them, kept. */
const char *ref_tidy_string(ref_reader *r, const char *from, size_t length)
{
    char *copy = ref_get_more(NULL, length + 1, 1);
    size_t used = 0;
    const char *kept;

    for (size_t i = 0; i < length; i++) {
        bool blank = from[i] == ' ' || from[i] == '\t' || from[i] == '\n';

        if (!blank) {
            copy[used++] = from[i];
        } else if (used > 0 && copy[used - 1] != ' ') {
            copy[used++] = ' ';
        }
    }
    while (used > 0 && copy[used - 1] == ' ') {
        used--;
    }
    kept = ref_keep_string(r, copy, used);
    free(copy);
    return kept;
}

bool ref_starts_with(const char *text, const char *head, const char **rest)
{
    size_t n = strlen(head);

    if (strncmp(text, head, n) != 0) {
        return false;
    }
    if (rest != NULL) {
        *rest = text + n;
    }
    return true;
}

static bool ends_with(const char *text, const char *tail)
{
    size_t n = strlen(text);
    size_t m = strlen(tail);

    return n >= m && strcmp(text + n - m, tail) == 0;
}

/* ---- entries ---- */

typedef struct field {
    const char *key, *value;
} field;

typedef struct entry {
    const char *kind, *name;
    field *fields;
    size_t count;
} entry;

static const char *entry_value(const entry *e, const char *key)
{
    for (size_t i = 0; i < e->count; i++) {
        if (strcmp(e->fields[i].key, key) == 0) {
            return e->fields[i].value;
        }
    }
    return NULL;
}

static void read_term(ref_reader *r, const entry *e)
{
    ref_vocab *v = r->vocab;
    const char *gap = entry_value(e, "gap");
    ref_term *t;

    v->terms = ref_get_more(v->terms, v->term_count + 1, sizeof *v->terms);
    t = &v->terms[v->term_count++];
    memset(t, 0, sizeof *t);
    t->name = e->name;
    for (size_t i = 0; i < e->count; i++) {
        if (strcmp(e->fields[i].key, "variant") == 0) {
            ref_read_variant(r, t, gap != NULL ? ref_read_gap(gap) : REF_STILL,
                             e->fields[i].value);
        }
    }
}

static void read_qualifier(ref_reader *r, const entry *e)
{
    ref_vocab *v = r->vocab;
    const char *asks = entry_value(e, "asks");
    ref_qualifier *q;

    v->qualifiers = ref_get_more(v->qualifiers, v->qualifier_count + 1,
                                 sizeof *v->qualifiers);
    q = &v->qualifiers[v->qualifier_count++];
    q->name = e->name;
    q->asks = asks != NULL ? asks : "nothing more";
    q->instead = entry_value(e, "instead");
}

static void read_price(ref_reader *r, const entry *e)
{
    ref_prices *p = &r->vocab->prices;
    const struct {
        const char *name;
        int *price;
    } list[] = {{"quiet link", &p->quiet},
                {"closing link", &p->closing},
                {"side leg closed in front", &p->side_in_front},
                {"opening link", &p->opening},
                {"start in fifth", &p->start_fifth},
                {"start in first", &p->start_first},
                {"start in a pose", &p->start_pose},
                {"start elsewhere", &p->start_elsewhere}};
    const char *value = entry_value(e, "value");

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        if (strcmp(e->name, list[i].name) == 0 && value != NULL) {
            *list[i].price = atoi(value);
        }
    }
}

static void end_entry(ref_reader *r, entry *e)
{
    if (e->kind != NULL) {
        if (strcmp(e->kind, "term") == 0) {
            read_term(r, e);
        } else if (strcmp(e->kind, "qualifier") == 0) {
            read_qualifier(r, e);
        } else if (strcmp(e->kind, "price") == 0) {
            read_price(r, e);
        }
    }
    free(e->fields);
    memset(e, 0, sizeof *e);
}

/* A comment begins at the start of a line or after a blank. */
static size_t length_without_comment(const char *line, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        if (line[i] == '#' && (i == 0 || line[i - 1] == ' ')) {
            return i;
        }
    }
    return length;
}

static void split_word(ref_reader *r, const char *text, const char **word,
                       const char **rest)
{
    size_t n = strcspn(text, " ");

    *word = ref_keep_string(r, text, n);
    *rest = text[n] == ' ' ? text + n + 1 : text + n;
}

static void read_line(ref_reader *r, entry *e, size_t *indent, const char *line,
                      size_t length)
{
    size_t blanks = 0;
    const char *text;

    length = length_without_comment(line, length);
    while (blanks < length && line[blanks] == ' ') {
        blanks++;
    }
    text = ref_tidy_string(r, line, length);
    if (*text == ' ') {
        text++;
    }
    if (*text == '\0') {
        return;
    }
    if (blanks == 0) {
        end_entry(r, e);
        split_word(r, text, &e->kind, &e->name);
        *indent = 0;
    } else if (*indent > 0 && blanks > *indent) {
        field *f = &e->fields[e->count - 1];
        size_t n = strlen(f->value) + strlen(text) + 2;
        char *both = ref_get_more(NULL, n, 1);

        snprintf(both, n, "%s %s", f->value, text);
        f->value = ref_keep_string(r, both, n - 1);
        free(both);
    } else {
        e->fields = ref_get_more(e->fields, e->count + 1, sizeof *e->fields);
        split_word(r, text, &e->fields[e->count].key,
                   &e->fields[e->count].value);
        e->count++;
        *indent = blanks;
    }
}

static char *read_file(const char *path)
{
    FILE *file = fopen(path, "rb");
    char *text = NULL;
    size_t used = 0;
    size_t got;

    if (file == NULL) {
        return NULL;
    }
    do {
        text = ref_get_more(text, used + 65537, 1);
        got = fread(text + used, 1, 65536, file);
        used += got;
    } while (got > 0);
    text[used] = '\0';
    fclose(file);
    return text;
}

static void read_vocab_file(ref_reader *r, const char *path)
{
    char *text = read_file(path);
    entry e = {NULL, NULL, NULL, 0};
    size_t indent = 0;

    r->file = path;
    r->line = 0;
    if (text == NULL) {
        ref_say_fault(r, "cannot be read", path);
        return;
    }
    for (const char *at = text; *at != '\0';) {
        size_t n = strcspn(at, "\n");

        r->line++;
        read_line(r, &e, &indent, at, n);
        at += n;
        at += *at != '\0';
    }
    end_entry(r, &e);
    free(text);
}

ref_vocab *ref_vocab_read(const char *directory)
{
    ref_reader r = {NULL, directory, 0, false};
    struct dirent **names = NULL;
    int count = scandir(directory, &names, NULL, alphasort);

    r.vocab = ref_get_more(NULL, 1, sizeof *r.vocab);
    memset(r.vocab, 0, sizeof *r.vocab);
    for (int i = 0; i < count; i++) {
        if (ends_with(names[i]->d_name, ".vocab")) {
            size_t n = strlen(directory) + strlen(names[i]->d_name) + 2;
            char *path = ref_get_more(NULL, n, 1);

            snprintf(path, n, "%s/%s", directory, names[i]->d_name);
            read_vocab_file(&r, path);
            free(path);
        }
        free(names[i]);
    }
    free(names);
    if (r.failed || r.vocab->term_count == 0) {
        ref_vocab_free(r.vocab);
        return NULL;
    }
    return r.vocab;
}

void ref_vocab_free(ref_vocab *vocab)
{
    if (vocab == NULL) {
        return;
    }
    for (size_t i = 0; i < vocab->term_count; i++) {
        free(vocab->terms[i].variants);
    }
    for (size_t i = 0; i < vocab->kept_count; i++) {
        free(vocab->kept[i]);
    }
    free(vocab->terms);
    free(vocab->qualifiers);
    free(vocab->kept);
    free(vocab);
}

const ref_term *ref_vocab_term(const ref_vocab *vocab, const char *name)
{
    for (size_t i = 0; i < vocab->term_count; i++) {
        if (strcmp(vocab->terms[i].name, name) == 0) {
            return &vocab->terms[i];
        }
    }
    return NULL;
}
