/* digest.c - a tool of the build: vocabulary files to constant C data.
 *
 *     digest OUT.c FILE...
 *
 * Loads the files with the library's own loader, compiles the steps and
 * writes the definition of marq_builtin_data to OUT.c (`-`: standard output).
 * The same files give the same bytes, in whatever order they are named.
 * Faults go to standard error as file:line:column: severity: text [code];
 * exit 1 then, 2 for wrong usage, 3 for a file that cannot be read or
 * written.  Not part of the library. */
#include <inttypes.h>

#include "load.h"
#include "source.h"
#include "step.h"

/* ---- reading ---- */
static bool read_file(marq_vocab_text *out, marq_arena *arena,
                      const char *path)
{
    bool good = false;
    char *bytes = NULL;
    size_t length = 0;
    FILE *file = fopen(path, "rb");
    if (!file) {
        return false;
    }
    if (fseek(file, 0, SEEK_END) == 0) {
        long size = ftell(file);
        if (size >= 0 && fseek(file, 0, SEEK_SET) == 0) {
            length = (size_t)size;
            bytes = marq_arena_alloc(arena, length + 1, 1);
            good = bytes && fread(bytes, 1, length, file) == length;
        }
    }
    fclose(file);
    *out = (marq_vocab_text){path, bytes, length};
    return good;
}

static const char *file_part(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

/* By file name, so that a call's order does not matter. */
static int compare_paths(const void *a, const void *b)
{
    const char *const *x = a, *const *y = b;
    int order = strcmp(file_part(*x), file_part(*y));
    return order ? order : strcmp(*x, *y);
}

/* ---- faults ---- */
/* Which text a finding stands in: the loader labels it with the text's name;
 * faults of the step compiler have the span of their variant. */
static const marq_vocab_text *text_of(const marq_finding *f,
                                      const marq_vocab_data *data,
                                      const marq_vocab_text *texts,
                                      size_t text_count)
{
    for (size_t i = 0; i < text_count; i++) {
        if (!strcmp(f->label, texts[i].name)) {
            return &texts[i];
        }
    }
    for (size_t i = 0; i < data->variant_count; i++) {
        const marq_variant *v = &data->variants[i];
        const char *term = data->strings + data->terms[v->term].name;
        if (v->span.from == f->span.from && v->span.to == f->span.to &&
            !strncmp(f->headline, term, strlen(term))) {
            return &texts[v->text - 1];
        }
    }
    return NULL;
}

static void print_faults(const marq_findings *why,
                         const marq_vocab_data *data,
                         const marq_vocab_text *texts, size_t text_count,
                         marq_arena *arena)
{
    static const char *const severities[] = {"note", "question", "problem"};
    for (size_t i = 0; i < why->list.count; i++) {
        const marq_finding *f = MARQ_AT(&why->list, marq_finding, i);
        const marq_vocab_text *text = text_of(f, data, texts, text_count);
        marq_source source;
        marq_place place = {1, 1};
        if (text && marq_source_init(&source, arena, text->name, text->text,
                                     text->length) == MARQ_OK) {
            place = marq_source_place(&source, f->span.from);
        }
        fprintf(stderr, "%s:%" PRIu32 ":%" PRIu32 ": %s: %s [%s]\n",
                text ? text->name : "-", place.line, place.column,
                severities[f->severity], f->headline, f->code);
    }
    if (why->left_out > 0) {
        fprintf(stderr, "and %zu more\n", why->left_out);
    }
}

/* ---- writing ---- */
/* C has no empty arrays: an unused element stands for nothing. */
static void open_array(FILE *out, const char *type, const char *name,
                       size_t count)
{
    fprintf(out, "static const %s %s[%zu] = {\n", type, name,
            count ? count : 1);
}

static void close_array(FILE *out, size_t count)
{
    fprintf(out, "%s};\n\n", count ? "" : "    0\n");
}

/* A member, left out when it is 0 as C would have it anyway. */
static void put(FILE *out, const char *member, uint64_t value)
{
    if (value) {
        fprintf(out, ".%s = %" PRIu64 ", ", member, value);
    }
}

static void put_tags(FILE *out, const char *member, marq_tags tags)
{
    if (tags.bit[0] || tags.bit[1]) {
        fprintf(out,
                ".%s = {{UINT64_C(0x%" PRIx64 "), UINT64_C(0x%" PRIx64
                ")}}, ",
                member, tags.bit[0], tags.bit[1]);
    }
}

static void put_strings(FILE *out, const marq_vocab_data *d)
{
    open_array(out, "unsigned char", "strings", d->string_bytes);
    for (size_t i = 0; i < d->string_bytes; i++) {
        fprintf(out, "%s%u,%s", i % 16 ? "" : "    ",
                (unsigned)(unsigned char)d->strings[i],
                i % 16 == 15 || i + 1 == d->string_bytes ? "\n" : " ");
    }
    close_array(out, d->string_bytes);
}

static void put_terms(FILE *out, const marq_vocab_data *d)
{
    open_array(out, "marq_term", "terms", d->term_count);
    for (size_t i = 0; i < d->term_count; i++) {
        const marq_term *t = &d->terms[i];
        fprintf(out, "    {.id = %" PRIu32 ", ", t->id);
        put(out, "name", t->name);
        put(out, "means", t->means);
        put(out, "family", t->family);
        put(out, "source", t->source);
        put(out, "note", t->note);
        put(out, "first_variant", t->first_variant);
        put(out, "variant_count", t->variant_count);
        put(out, "side_means", t->side_means);
        put(out, "level", t->level);
        put(out, "flags", t->flags);
        put(out, "counts_num", t->counts_num);
        put(out, "counts_den", t->counts_den);
        fputs("},\n", out);
    }
    close_array(out, d->term_count);
}

static void put_variants(FILE *out, const marq_vocab_data *d)
{
    open_array(out, "marq_variant", "variants", d->variant_count);
    for (size_t i = 0; i < d->variant_count; i++) {
        const marq_variant *v = &d->variants[i];
        fprintf(out, "    {.term = %u, ", v->term);
        put(out, "name", v->name);
        put_tags(out, "tags", v->tags);
        put_tags(out, "marked", v->marked);
        put(out, "from_two", v->from_two);
        put(out, "from_free", v->from_free);
        put(out, "worker", v->worker);
        put(out, "end", v->end);
        put(out, "end_position", v->end_position);
        put(out, "end_front", v->end_front);
        put(out, "end_free", v->end_free);
        put(out, "turn_sense", v->turn_sense);
        put(out, "turn_eighths", v->turn_eighths);
        put(out, "travel", v->travel);
        put(out, "lands", v->lands);
        put(out, "leaves", v->leaves);
        put(out, "arrives", v->arrives);
        put(out, "price", v->price);
        put(out, "level", v->level);
        put(out, "flags", v->flags);
        put(out, "reverse", v->reverse);
        put(out, "first_move", v->first_move);
        put(out, "move_count", v->move_count);
        put(out, "declared_feet", v->declared_feet);
        fputs("},\n", out); /* its place in a text means nothing here */
    }
    close_array(out, d->variant_count);
}

static void put_moves(FILE *out, const marq_vocab_data *d)
{
    size_t places = d->variant_count * 48;
    open_array(out, "marq_move", "moves", d->move_count);
    for (size_t i = 0; i < d->move_count; i++) {
        const marq_move *m = &d->moves[i];
        fprintf(out, "    {.from = %u, ", m->from);
        put(out, "to", m->to);
        if (m->turn) {
            fprintf(out, ".turn = %d, ", m->turn);
        }
        put(out, "working", m->working);
        put(out, "lands", m->lands);
        put(out, "closing", m->closing);
        put(out, "travel", m->travel);
        put(out, "change", m->change);
        fputs("},\n", out);
    }
    close_array(out, d->move_count);
    open_array(out, "uint16_t", "move_index", places);
    for (size_t i = 0; i < places; i++) {
        fprintf(out, "%s%u,%s", i % 16 ? "" : "    ", d->move_index[i],
                i % 16 == 15 ? "\n" : " ");
    }
    close_array(out, places);
}

static void put_qualifiers(FILE *out, const marq_vocab_data *d)
{
    open_array(out, "marq_qualifier", "qualifiers", d->qualifier_count);
    for (size_t i = 0; i < d->qualifier_count; i++) {
        const marq_qualifier *q = &d->qualifiers[i];
        fprintf(out, "    {.name = %" PRIu32 ", ", q->name);
        put(out, "means", q->means);
        put(out, "ask", q->ask);
        put(out, "position", q->position);
        put(out, "instead", q->instead);
        put(out, "feminine", q->feminine);
        put(out, "mirror_reverse", q->mirror_reverse);
        fputs("},\n", out);
    }
    close_array(out, d->qualifier_count);
}

static void put_words(FILE *out, const marq_vocab_data *d)
{
    open_array(out, "marq_form", "forms", d->form_count);
    for (size_t i = 0; i < d->form_count; i++) {
        const marq_form *f = &d->forms[i];
        fprintf(out, "    {.text = %" PRIu32 ", ", f->text);
        put(out, "shown", f->shown);
        put(out, "hash", f->hash);
        put(out, "first_sense", f->first_sense);
        put(out, "sense_count", f->sense_count);
        put(out, "words", f->words);
        put(out, "letters", f->letters);
        fputs("},\n", out);
    }
    close_array(out, d->form_count);
    open_array(out, "marq_sense", "senses", d->sense_count);
    for (size_t i = 0; i < d->sense_count; i++) {
        fprintf(out, "    {.role = %u, .id = %u},\n", d->senses[i].role,
                d->senses[i].id);
    }
    close_array(out, d->sense_count);
    open_array(out, "uint32_t", "slots", d->slot_count);
    for (size_t i = 0; i < d->slot_count; i++) {
        fprintf(out, "%s%" PRIu32 ",%s", i % 16 ? "" : "    ", d->slots[i],
                i % 16 == 15 || i + 1 == d->slot_count ? "\n" : " ");
    }
    close_array(out, d->slot_count);
    open_array(out, "marq_free_word", "free_words", d->free_word_count);
    for (size_t i = 0; i < d->free_word_count; i++) {
        fprintf(out, "    {.name = %" PRIu32 ", .mask = %" PRIu32 "},\n",
                d->free_words[i].name, d->free_words[i].mask);
    }
    close_array(out, d->free_word_count);
    open_array(out, "marq_notation_line", "notations", d->notation_count);
    for (size_t i = 0; i < d->notation_count; i++) {
        const marq_notation_line *n = &d->notations[i];
        fprintf(out,
                "    {.notation = %u, .pattern = %" PRIu32
                ", .name = %" PRIu32 "},\n",
                n->notation, n->pattern, n->name);
    }
    close_array(out, d->notation_count);
}

static void put_whole(FILE *out, const marq_vocab_data *d)
{
    static const struct {
        const char *array, *count;
    } members[] = {{"terms", "term_count"},
                   {"variants", "variant_count"},
                   {"moves", "move_count"},
                   {"qualifiers", "qualifier_count"},
                   {"forms", "form_count"},
                   {"senses", "sense_count"},
                   {"slots", "slot_count"},
                   {"free_words", "free_word_count"},
                   {"notations", "notation_count"}};
    const size_t counts[] = {d->term_count,      d->variant_count,
                             d->move_count,      d->qualifier_count,
                             d->form_count,      d->sense_count,
                             d->slot_count,      d->free_word_count,
                             d->notation_count};
    fprintf(out,
            "const marq_vocab_data marq_builtin_data = {\n"
            "    .strings = (const char *)strings,\n"
            "    .string_bytes = %zu,\n"
            "    .move_index = move_index,\n",
            d->string_bytes);
    for (size_t i = 0; i < sizeof members / sizeof *members; i++) {
        fprintf(out, "    .%s = %s,\n    .%s = %zu,\n", members[i].array,
                members[i].array, members[i].count, counts[i]);
    }
    fputs("    .prices = {", out);
    for (size_t i = 0; i < MARQ_PRICES; i++) {
        fprintf(out, "[%zu] = %u, ", i, d->prices[i]);
    }
    fprintf(out,
            "},\n    .longest_form = %u,\n    .format = %" PRIu32 ",\n};\n",
            d->longest_form, d->format);
}

static void put_all(FILE *out, const marq_vocab_data *d)
{
    fputs("/* Written by lib/digest.c from vocab/; do not edit. */\n"
          "#include \"vocab.h\"\n\n",
          out);
    put_strings(out, d);
    put_terms(out, d);
    put_variants(out, d);
    put_moves(out, d);
    put_qualifiers(out, d);
    put_words(out, d);
    put_whole(out, d);
}

/* ---- the whole ---- */
static int write_file(const char *path, const marq_vocab_data *d)
{
    FILE *out = path ? fopen(path, "wb") : stdout;
    if (out) {
        put_all(out, d);
        bool failed = ferror(out) != 0;
        failed |= (path ? fclose(out) : fflush(out)) != 0;
        if (!failed) {
            return 0;
        }
        if (path) {
            remove(path);
        }
    }
    fprintf(stderr, "digest: cannot write %s\n", path ? path : "the output");
    return 3;
}

static int digest(const char *out, char **paths, size_t count,
                  marq_arena *arena)
{
    marq_vocab_data data = {0};
    marq_findings *why = NULL;
    int code = 70;
    marq_vocab_text *texts = marq_arena_alloc(arena, count, sizeof *texts);
    marq_status s = texts ? marq_findings_new(&why, arena->mem, 1000)
                          : MARQ_MEMORY;
    qsort(paths, count, sizeof *paths, compare_paths);
    for (size_t i = 0; s == MARQ_OK && i < count; i++) {
        if (!read_file(&texts[i], arena, paths[i])) {
            fprintf(stderr, "digest: cannot read %s\n", paths[i]);
            code = 3;
            goto out;
        }
    }
    if (s == MARQ_OK) {
        s = marq_load(&data, arena, NULL, texts, count, why);
    }
    if (s == MARQ_OK) {
        s = marq_step_compile(&data, arena, why);
    }
    if (s == MARQ_OK) {
        code = write_file(out, &data);
    } else if (s == MARQ_VOCABULARY) {
        print_faults(why, &data, texts, count, arena);
        code = 1;
    } else {
        fprintf(stderr, "digest: %s\n",
                s == MARQ_MEMORY ? "out of memory" : "too much to hold");
    }
out:
    marq_findings_free(why);
    return code;
}

int main(int argc, char **argv)
{
    if (argc < 3) {
        fputs("usage: digest OUT.c FILE...\n", stderr);
        return 2;
    }
    const char *out = strcmp(argv[1], "-") ? argv[1] : NULL;
    marq_arena arena;
    marq_arena_init(&arena, marq_mem_of(NULL));
    int code = digest(out, argv + 2, (size_t)(argc - 2), &arena);
    marq_arena_free(&arena);
    return code;
}
