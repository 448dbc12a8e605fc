/* ref_variant.c - a variant's line, clause by clause, by vocab/README.md
 * alone. */
#include <stdlib.h>
#include <string.h>

#include "ref_read.h"

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

        if (!ref_starts_with(text, shapes[i].word, &rest) ||
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

        if (ref_starts_with(text, "front", &rest)) {
            where = REF_DEVANT;
        } else if (ref_starts_with(text, "side", &rest)) {
            where = REF_SIDE;
        } else if (ref_starts_with(text, "behind", &rest)) {
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

static void add_place(ref_reader *r, ref_variant *v, const char *text)
{
    if (v->from_places == REF_PLACES_MOST) {
        ref_say_fault(r, "too many places", text);
    } else if (!read_place(text, &v->from_place[v->from_places++])) {
        ref_say_fault(r, "not a place", text);
    }
}

/* One of the alternatives of "from A or B". */
static void read_from(ref_reader *r, ref_variant *v, const char *text)
{
    const char *rest;
    int position = find_position(text);

    if (strcmp(text, "two feet") == 0) {
        for (int p = 0; p < REF_POSITION_COUNT; p++) {
            v->from_position[p] = true;
        }
    } else if (strcmp(text, "one foot") == 0) {
        add_place(r, v, "anywhere");
    } else if (ref_starts_with(text, "free leg ", &rest)) {
        add_place(r, v, rest);
    } else if (position >= 0) {
        v->from_position[position] = true;
        if (position == REF_FIFTH) {
            v->from_position[REF_THIRD] = true;
            v->from_position[REF_TIPS] = true;
        }
    } else {
        ref_say_fault(r, "not a start", text);
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

static bool read_end(ref_reader *r, ref_variant *v, const char *clause)
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
    } else if (ref_starts_with(clause, "ends in ", &rest)) {
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
            ref_say_fault(r, "not an end", clause);
        }
    } else if (ref_starts_with(clause, "closes ", &rest)) {
        return read_closing(v, rest, false);
    } else if (ref_starts_with(clause, "other foot closes ", &rest)) {
        return read_closing(v, rest, true);
    } else if (strcmp(clause, "free leg as it was") == 0) {
        v->end_place_kept = true;
    } else if (ref_starts_with(clause, "free leg ", &rest)) {
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
        if (ref_starts_with(clause, list[i].words, &rest) &&
            (strcmp(rest, " works") == 0 || strcmp(rest, " steps") == 0)) {
            v->works = list[i].works;
            v->steps = strcmp(rest, " steps") == 0;
            return true;
        }
    }
    return false;
}

int ref_read_gap(const char *text)
{
    return strcmp(text, "still") == 0       ? REF_STILL
           : strcmp(text, "moving") == 0    ? REF_MOVING
           : strcmp(text, "in a jump") == 0 ? REF_JUMPING
                                            : -1;
}

/* Clauses that say nothing about the feet. */
static bool is_aside(const char *clause)
{
    static const char *const heads[] = {
        "feet change", "feet stay", "feet vary", "lands on ", "reverse",
        "no reverse",  "level ",    "source ",   "any amount"};

    for (size_t i = 0; i < sizeof heads / sizeof heads[0]; i++) {
        if (ref_starts_with(clause, heads[i], NULL)) {
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

static void read_clause(ref_reader *r, ref_variant *v, const char *clause)
{
    const char *rest;

    if (ref_starts_with(clause, "from ", &rest)) {
        while (*rest != '\0') {
            const char * or = strstr(rest, " or ");
            size_t n = or != NULL ? (size_t)(or -rest) : strlen(rest);

            read_from(r, v, ref_keep_string(r, rest, n));
            rest = or != NULL ? or +4 : rest + n;
        }
    } else if (ref_starts_with(clause, "leaves ", &rest)) {
        v->leaves = ref_read_gap(rest);
    } else if (ref_starts_with(clause, "arrives ", &rest)) {
        v->arrives = ref_read_gap(rest);
    } else if (ref_starts_with(clause, "travels ", &rest)) {
        read_travel(v, rest);
    } else if (ref_starts_with(clause, "turns ", NULL)) {
        v->turns = true;
    } else if (strcmp(clause, "nothing assumed before") == 0) {
        v->nothing_assumed = true;
    } else if (strcmp(clause, "fourth may be opened for it") == 0) {
        v->opens_fourth = true;
    } else if (strcmp(clause, "only in a series") == 0) {
        v->series_only = true;
    } else if (strcmp(clause, "only before a step in that position") == 0) {
        v->next_named = true; /* the texts walked here name no position */
    } else if (strcmp(clause, "less usual") == 0) {
        v->less_usual = true;
    } else if (ref_starts_with(clause, "price ", &rest)) {
        v->price = atoi(rest);
    } else if (!read_worker(v, clause) && !is_aside(clause) &&
               !read_end(r, v, clause)) {
        ref_say_fault(r, "not a clause", clause);
    }
}

static void read_name(ref_reader *r, ref_variant *v, const char *name)
{
    size_t n = strlen(name);
    bool must = n > 0 && name[n - 1] == '!';

    if (strcmp(name, "-") == 0) {
        return;
    }
    if (v->name_count == REF_NAMES_MOST) {
        ref_say_fault(r, "too many names", name);
        return;
    }
    v->names[v->name_count] = ref_keep_string(r, name, must ? n - 1 : n);
    v->must_be_written[v->name_count++] = must;
}

/* The pieces of a list, a name or a clause each.  A reverse may have several
 * names, which look like clauses: known to be names, they are passed over. */
static void read_list(ref_reader *r, ref_variant *v, const char *text,
                      bool names)
{
    bool in_reverse = false;

    while (*text != '\0') {
        size_t n = strcspn(text, names ? "," : ",;");
        const char *piece = ref_tidy_string(r, text, n);

        if (in_reverse && ref_starts_with(text - 1, ",", NULL)) {
            /* one more name of the reverse */
        } else if (*piece != '\0') {
            in_reverse = !names && ref_starts_with(piece, "reverse ", NULL);
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

void ref_read_variant(ref_reader *r, ref_term *t, int gap, const char *value)
{
    const char *colon = strchr(value, ':');
    ref_variant *v;

    if (colon == NULL) {
        ref_say_fault(r, "no colon", value);
        return;
    }
    t->variants =
        ref_get_more(t->variants, t->variant_count + 1, sizeof *t->variants);
    v = &t->variants[t->variant_count++];
    memset(v, 0, sizeof *v);
    v->leaves = v->arrives = gap;
    v->line = value;
    v->price = -1;
    read_list(r, v, ref_keep_string(r, value, (size_t)(colon - value)), true);
    read_list(r, v, colon + 1, false);
    if (v->price < 0 || v->ends == REF_ENDS_UNSAID ||
        v->works == REF_WORKS_UNSAID || v->leaves < 0 || v->arrives < 0) {
        ref_say_fault(r, "something is missing", value);
    }
}
