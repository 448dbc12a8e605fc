/* ref_vocab.c - a small reader of vocab/, by vocab/README.md alone. */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "ref.h"

#define REF_FILES_MOST 64

/* What is being read. */
typedef struct reader {
    ref_vocab *vocab;
    const char *file;
    size_t line;
    bool failed;
} reader;

static void *get_more(void *old, size_t count, size_t size)
{
    void *more = realloc(old, count * size);

    if (more == NULL) {
        fputs("ref: no memory\n", stderr);
        exit(70);
    }
    return more;
}

static void say_fault(reader *r, const char *what, const char *where)
{
    fprintf(stderr, "ref: %s:%zu: %s: %s\n", r->file, r->line, what, where);
    r->failed = true;
}

static const char *keep_string(reader *r, const char *from, size_t length)
{
    ref_vocab *v = r->vocab;
    char *copy = get_more(NULL, length + 1, 1);

    memcpy(copy, from, length);
    copy[length] = '\0';
    v->kept = get_more(v->kept, v->kept_count + 1, sizeof *v->kept);
    v->kept[v->kept_count++] = copy;
    return copy;
}

/* The words of [from, from + length), single blanks between them, kept. */
static const char *tidy_string(reader *r, const char *from, size_t length)
{
    char *copy = get_more(NULL, length + 1, 1);
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
    kept = keep_string(r, copy, used);
    free(copy);
    return kept;
}

static bool starts_with(const char *text, const char *head, const char **rest)
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

static const char *const position_names[REF_POSITION_COUNT] = {
    "first", "second", "parallel", "third", "fourth", "fifth", "tips"};

static int find_position(const char *word)
{
    for (int p = 0; p < REF_POSITION_COUNT; p++) {
        if (strcmp(word, position_names[p]) == 0) {
            return p;
        }
    }
    return -1;
}

static void set_shapes(ref_place *place, int first, int last)
{
    for (int s = first; s <= last; s++) {
        place->shape[s] = true;
    }
}

/* "at the ankle front/behind", "open", "anywhere", "behind". */
static bool read_place(const char *text, ref_place *place)
{
    static const struct {
        const char *word;
        int first, last;
    } shapes[] = {
        {"à terre", REF_A_TERRE, REF_A_TERRE},
        {"low", REF_LOW, REF_LOW},
        {"high", REF_HIGH, REF_HIGH},
        {"at the ankle", REF_ANKLE, REF_ANKLE},
        {"at the knee", REF_KNEE, REF_KNEE},
        {"in attitude", REF_ATTITUDE, REF_ATTITUDE},
        {"open", REF_A_TERRE, REF_HIGH},
        {"raised", REF_LOW, REF_HIGH},
        {"off the floor", REF_LOW, REF_ATTITUDE},
        {"anywhere", REF_A_TERRE, REF_ATTITUDE},
    };
    bool shaped = false;
    bool placed = false;

    memset(place, 0, sizeof *place);
    for (size_t i = 0; i < sizeof shapes / sizeof shapes[0]; i++) {
        const char *rest;

        if (!starts_with(text, shapes[i].word, &rest) ||
            (*rest != '\0' && *rest != ' ' && *rest != '/')) {
            continue;
        }
        set_shapes(place, shapes[i].first, shapes[i].last);
        shaped = true;
        text = *rest == '\0' ? rest : rest + 1;
        if (*rest != '/') {
            break;
        }
        i = (size_t)-1; /* another shape follows: from the top again */
    }
    if (!shaped) {
        set_shapes(place, REF_A_TERRE, REF_ATTITUDE);
    }
    while (*text != '\0') {
        const char *rest;
        int where;

        if (starts_with(text, "front", &rest)) {
            where = REF_DEVANT;
        } else if (starts_with(text, "side", &rest)) {
            where = REF_SIDE;
        } else if (starts_with(text, "behind", &rest)) {
            where = REF_DERRIERE;
        } else {
            return false;
        }
        place->where[where] = true;
        placed = true;
        if (*rest != '\0' && *rest != '/') {
            return false;
        }
        text = *rest == '/' ? rest + 1 : rest;
    }
    if (!placed) {
        place->where[REF_DEVANT] = true;
        place->where[REF_SIDE] = true;
        place->where[REF_DERRIERE] = true;
    }
    return shaped || placed;
}

static void add_place(reader *r, ref_variant *v, const char *text)
{
    if (v->from_places == REF_PLACES_MOST) {
        say_fault(r, "too many places", text);
    } else if (!read_place(text, &v->from_place[v->from_places++])) {
        say_fault(r, "not a place", text);
    }
}

/* One of the alternatives of "from A or B". */
static void read_from(reader *r, ref_variant *v, const char *text)
{
    const char *rest;
    int position = find_position(text);

    if (strcmp(text, "two feet") == 0) {
        for (int p = 0; p < REF_POSITION_COUNT; p++) {
            v->from_position[p] = true;
        }
    } else if (strcmp(text, "one foot") == 0) {
        add_place(r, v, "anywhere");
    } else if (starts_with(text, "free leg ", &rest)) {
        add_place(r, v, rest);
    } else if (position >= 0) {
        v->from_position[position] = true;
        if (position == REF_FIFTH) {
            v->from_position[REF_THIRD] = true;
            v->from_position[REF_TIPS] = true;
        }
    } else {
        say_fault(r, "not a start", text);
    }
}

static bool read_front(const char *text, int *front)
{
    static const struct {
        const char *words;
        int front;
    } list[] = {{"working foot in front", REF_FRONT_WORKING},
                {"working foot behind", REF_FRONT_OTHER},
                {"feet kept", REF_FRONT_KEPT},
                {"feet exchanged", REF_FRONT_EXCHANGED},
                {"either foot in front", REF_FRONT_EITHER}};

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        if (strcmp(text, list[i].words) == 0) {
            *front = list[i].front;
            return true;
        }
    }
    return false;
}

/* "closes front", "closes the other way" ... of either foot. */
static bool read_closing(ref_variant *v, const char *how, bool other)
{
    v->ends = REF_ENDS_TWO;
    v->end_position = REF_FIFTH;
    v->other_closes = other;
    if (strcmp(how, "front") == 0) {
        v->end_front = other ? REF_FRONT_OTHER : REF_FRONT_WORKING;
    } else if (strcmp(how, "back") == 0) {
        v->end_front = other ? REF_FRONT_WORKING : REF_FRONT_OTHER;
    } else if (strcmp(how, "where it began") == 0) {
        v->ends = REF_ENDS_WHERE_BEGAN;
    } else if (strcmp(how, "the other way") == 0) {
        v->end_front = REF_FRONT_EXCHANGED;
    } else if (strcmp(how, "either side") == 0) {
        v->end_front = REF_FRONT_EITHER;
    } else {
        return false;
    }
    return true;
}

static bool read_end(reader *r, ref_variant *v, const char *clause)
{
    const char *rest;

    if (strcmp(clause, "ends as it began") == 0) {
        v->ends = REF_ENDS_AS_BEGAN;
    } else if (strcmp(clause, "ends on the working foot") == 0) {
        v->ends = REF_ENDS_WORKING;
    } else if (strcmp(clause, "ends on the other foot") == 0) {
        v->ends = REF_ENDS_OTHER;
    } else if (strcmp(clause, "ends on the standing foot") == 0) {
        v->ends = REF_ENDS_STANDING;
    } else if (starts_with(clause, "ends in ", &rest)) {
        char word[64];
        const char *with = strstr(rest, " with ");
        size_t n = with != NULL ? (size_t)(with - rest) : strlen(rest);

        if (n >= sizeof word) {
            return false;
        }
        memcpy(word, rest, n);
        word[n] = '\0';
        v->ends = REF_ENDS_TWO;
        v->end_position = find_position(word);
        if (v->end_position < 0 ||
            (with != NULL && !read_front(with + 6, &v->end_front))) {
            say_fault(r, "not an end", clause);
        }
    } else if (starts_with(clause, "closes ", &rest)) {
        return read_closing(v, rest, false);
    } else if (starts_with(clause, "other foot closes ", &rest)) {
        return read_closing(v, rest, true);
    } else if (strcmp(clause, "free leg as it was") == 0) {
        v->end_place_kept = true;
    } else if (starts_with(clause, "free leg ", &rest)) {
        return read_place(rest, &v->end_place);
    } else {
        return read_front(clause, &v->end_front);
    }
    return true;
}

static bool read_worker(ref_variant *v, const char *clause)
{
    static const struct {
        const char *words;
        int works;
    } list[] = {{"front foot", REF_WORKS_FRONT},
                {"back foot", REF_WORKS_BACK},
                {"either foot", REF_WORKS_EITHER},
                {"free foot", REF_WORKS_FREE},
                {"standing foot", REF_WORKS_STANDING}};
    const char *rest;

    if (strcmp(clause, "both feet work") == 0) {
        v->works = REF_WORKS_BOTH;
        return true;
    }
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        if (starts_with(clause, list[i].words, &rest) &&
            (strcmp(rest, " works") == 0 || strcmp(rest, " steps") == 0)) {
            v->works = list[i].works;
            v->steps = strcmp(rest, " steps") == 0;
            return true;
        }
    }
    return false;
}

static int read_gap(const char *text)
{
    return strcmp(text, "still") == 0      ? REF_STILL
           : strcmp(text, "moving") == 0   ? REF_MOVING
           : strcmp(text, "in a jump") == 0 ? REF_JUMPING
                                            : -1;
}

/* Clauses that say nothing about the feet. */
static bool is_aside(const char *clause)
{
    static const char *const heads[] = {"feet change", "feet stay",
        "feet vary", "lands on ", "reverse", "no reverse",
        "level ", "source ", "any amount"};

    for (size_t i = 0; i < sizeof heads / sizeof heads[0]; i++) {
        if (starts_with(clause, heads[i], NULL)) {
            return true;
        }
    }
    return false;
}

static void read_travel(ref_variant *v, const char *how)
{
    bool anywhere = strcmp(how, "anywhere") == 0;
    bool by_foot = strcmp(how, "toward the working foot") == 0 ||
                   strcmp(how, "away from the working foot") == 0;

    v->goes_forward = anywhere || strcmp(how, "forward") == 0;
    v->goes_back = anywhere || strcmp(how, "back") == 0;
    v->goes_sideways =
        anywhere || by_foot || strcmp(how, "to either side") == 0;
    v->sideways_by_foot = by_foot;
}

static void read_clause(reader *r, ref_variant *v, const char *clause)
{
    const char *rest;

    if (starts_with(clause, "from ", &rest)) {
        while (*rest != '\0') {
            const char *or = strstr(rest, " or ");
            size_t n = or != NULL ? (size_t)(or - rest) : strlen(rest);

            read_from(r, v, keep_string(r, rest, n));
            rest = or != NULL ? or + 4 : rest + n;
        }
    } else if (starts_with(clause, "leaves ", &rest)) {
        v->leaves = read_gap(rest);
    } else if (starts_with(clause, "arrives ", &rest)) {
        v->arrives = read_gap(rest);
    } else if (starts_with(clause, "travels ", &rest)) {
        read_travel(v, rest);
    } else if (starts_with(clause, "turns ", NULL)) {
        v->turns = true;
    } else if (strcmp(clause, "nothing assumed before") == 0) {
        v->nothing_assumed = true;
    } else if (strcmp(clause, "fourth may be opened for it") == 0) {
        v->opens_fourth = true;
    } else if (strcmp(clause, "only in a series") == 0) {
        v->series_only = true;
    } else if (strcmp(clause, "less usual") == 0) {
        v->less_usual = true;
    } else if (starts_with(clause, "price ", &rest)) {
        v->price = atoi(rest);
    } else if (!read_worker(v, clause) && !is_aside(clause) &&
               !read_end(r, v, clause)) {
        say_fault(r, "not a clause", clause);
    }
}

static void read_name(reader *r, ref_variant *v, const char *name)
{
    size_t n = strlen(name);
    bool must = n > 0 && name[n - 1] == '!';

    if (strcmp(name, "-") == 0) {
        return;
    }
    if (v->name_count == REF_NAMES_MOST) {
        say_fault(r, "too many names", name);
        return;
    }
    v->names[v->name_count] = keep_string(r, name, must ? n - 1 : n);
    v->must_be_written[v->name_count++] = must;
}

/* The pieces of a list, a name or a clause each.  A reverse may have several
 * names, which look like clauses: known to be names, they are passed over. */
static void read_list(reader *r, ref_variant *v, const char *text, bool names)
{
    bool in_reverse = false;

    while (*text != '\0') {
        size_t n = strcspn(text, names ? "," : ",;");
        const char *piece = tidy_string(r, text, n);

        if (in_reverse && starts_with(text - 1, ",", NULL)) {
            /* one more name of the reverse */
        } else if (*piece != '\0') {
            in_reverse = !names && starts_with(piece, "reverse ", NULL);
            if (names) {
                read_name(r, v, piece);
            } else {
                read_clause(r, v, piece);
            }
        }
        text += n;
        text += *text != '\0';
    }
}

static void read_variant(reader *r, ref_term *t, int gap, const char *value)
{
    const char *colon = strchr(value, ':');
    ref_variant *v;

    if (colon == NULL) {
        say_fault(r, "no colon", value);
        return;
    }
    t->variants =
        get_more(t->variants, t->variant_count + 1, sizeof *t->variants);
    v = &t->variants[t->variant_count++];
    memset(v, 0, sizeof *v);
    v->leaves = v->arrives = gap;
    v->line = value;
    v->price = -1;
    read_list(r, v, keep_string(r, value, (size_t)(colon - value)), true);
    read_list(r, v, colon + 1, false);
    if (v->price < 0 || v->ends == REF_ENDS_UNSAID ||
        v->works == REF_WORKS_UNSAID || v->leaves < 0 || v->arrives < 0) {
        say_fault(r, "something is missing", value);
    }
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

static void read_term(reader *r, const entry *e)
{
    ref_vocab *v = r->vocab;
    const char *gap = entry_value(e, "gap");
    ref_term *t;

    v->terms = get_more(v->terms, v->term_count + 1, sizeof *v->terms);
    t = &v->terms[v->term_count++];
    memset(t, 0, sizeof *t);
    t->name = e->name;
    for (size_t i = 0; i < e->count; i++) {
        if (strcmp(e->fields[i].key, "variant") == 0) {
            read_variant(r, t, gap != NULL ? read_gap(gap) : REF_STILL,
                         e->fields[i].value);
        }
    }
}

static void read_qualifier(reader *r, const entry *e)
{
    ref_vocab *v = r->vocab;
    const char *asks = entry_value(e, "asks");
    ref_qualifier *q;

    v->qualifiers = get_more(v->qualifiers, v->qualifier_count + 1,
                             sizeof *v->qualifiers);
    q = &v->qualifiers[v->qualifier_count++];
    q->name = e->name;
    q->asks = asks != NULL ? asks : "nothing more";
    q->instead = entry_value(e, "instead");
}

static void read_price(reader *r, const entry *e)
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

static void end_entry(reader *r, entry *e)
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

static void split_word(reader *r, const char *text, const char **word,
                       const char **rest)
{
    size_t n = strcspn(text, " ");

    *word = keep_string(r, text, n);
    *rest = text[n] == ' ' ? text + n + 1 : text + n;
}

static void read_line(reader *r, entry *e, size_t *indent, const char *line,
                      size_t length)
{
    size_t blanks = 0;
    const char *text;

    length = length_without_comment(line, length);
    while (blanks < length && line[blanks] == ' ') {
        blanks++;
    }
    text = tidy_string(r, line, length);
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
        char *both = get_more(NULL, n, 1);

        snprintf(both, n, "%s %s", f->value, text);
        f->value = keep_string(r, both, n - 1);
        free(both);
    } else {
        e->fields = get_more(e->fields, e->count + 1, sizeof *e->fields);
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
        text = get_more(text, used + 65537, 1);
        got = fread(text + used, 1, 65536, file);
        used += got;
    } while (got > 0);
    text[used] = '\0';
    fclose(file);
    return text;
}

static void read_vocab_file(reader *r, const char *path)
{
    char *text = read_file(path);
    entry e = {NULL, NULL, NULL, 0};
    size_t indent = 0;

    r->file = path;
    r->line = 0;
    if (text == NULL) {
        say_fault(r, "cannot be read", path);
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
    reader r = {NULL, directory, 0, false};
    struct dirent **names = NULL;
    int count = scandir(directory, &names, NULL, alphasort);

    r.vocab = get_more(NULL, 1, sizeof *r.vocab);
    memset(r.vocab, 0, sizeof *r.vocab);
    for (int i = 0; i < count; i++) {
        if (ends_with(names[i]->d_name, ".vocab")) {
            size_t n = strlen(directory) + strlen(names[i]->d_name) + 2;
            char *path = get_more(NULL, n, 1);

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
