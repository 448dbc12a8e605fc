#include "load_clause.h"

/* ---- phrases ---- */
/* What a clause speaks of; each may be said once. */
enum slot {
    SLOT_FROM,
    SLOT_WORKER, /* front and back, front and free, may stand together */
    SLOT_END,
    SLOT_FRONT,
    SLOT_FREE,
    SLOT_FEET,
    SLOT_TURN,
    SLOT_TRAVEL,
    SLOT_LANDS,
    SLOT_LEAVES,
    SLOT_ARRIVES,
    SLOT_PRICE,
    SLOT_REVERSE,
    SLOT_LEVEL,
    SLOT_SOURCE,
    SLOT_FLAG, /* not counted here: each flag by itself */
    SLOTS
};

enum ending { /* values of SLOT_END */
              ENDS_AS_IT_BEGAN,
              ENDS_IN,
              ENDS_ON_WORKING,
              ENDS_ON_OTHER,
              ENDS_ON_STANDING,
              OTHER_CLOSES = 8, /* added: the other foot is the closing one */
              CLOSES = 32,      /* in fifth, plus a marq_end_front */
              CLOSES_AS_IT_BEGAN = 64
};
#define STEPS         16 /* with a worker: the foot takes weight first */
#define CLOSED(front) (uint8_t)(CLOSES | (front))

typedef struct phrase {
    const char *words;
    uint8_t slot;
    uint16_t value;
} phrase;

static const phrase phrases[] = {
    {"front foot works", SLOT_WORKER, MARQ_WORKS_FRONT},
    {"back foot works", SLOT_WORKER, MARQ_WORKS_BACK},
    {"either foot works", SLOT_WORKER, MARQ_WORKS_EITHER},
    {"free foot works", SLOT_WORKER, MARQ_WORKS_FREE},
    {"standing foot works", SLOT_WORKER, MARQ_WORKS_STANDING},
    {"both feet work", SLOT_WORKER, MARQ_WORKS_BOTH},
    {"front foot steps", SLOT_WORKER, MARQ_WORKS_FRONT | STEPS},
    {"back foot steps", SLOT_WORKER, MARQ_WORKS_BACK | STEPS},
    {"either foot steps", SLOT_WORKER, MARQ_WORKS_EITHER | STEPS},
    {"free foot steps", SLOT_WORKER, MARQ_WORKS_FREE | STEPS},
    {"standing foot steps", SLOT_WORKER, MARQ_WORKS_STANDING | STEPS},
    {"both feet step", SLOT_WORKER, MARQ_WORKS_BOTH | STEPS},

    {"closes front", SLOT_END, CLOSED(MARQ_FRONT_WORKING)},
    {"closes back", SLOT_END, CLOSED(MARQ_FRONT_OTHER)},
    {"closes where it began", SLOT_END, CLOSES_AS_IT_BEGAN},
    {"closes the other way", SLOT_END, CLOSED(MARQ_FRONT_EXCHANGED)},
    {"closes either side", SLOT_END, CLOSED(MARQ_FRONT_EITHER)},
    {"other foot closes front", SLOT_END,
     CLOSED(MARQ_FRONT_OTHER) | OTHER_CLOSES},
    {"other foot closes back", SLOT_END,
     CLOSED(MARQ_FRONT_WORKING) | OTHER_CLOSES},
    {"other foot closes where it began", SLOT_END,
     CLOSES_AS_IT_BEGAN | OTHER_CLOSES},
    {"other foot closes the other way", SLOT_END,
     CLOSED(MARQ_FRONT_EXCHANGED) | OTHER_CLOSES},
    {"other foot closes either side", SLOT_END,
     CLOSED(MARQ_FRONT_EITHER) | OTHER_CLOSES},
    {"ends as it began", SLOT_END, ENDS_AS_IT_BEGAN},
    {"ends on the working foot", SLOT_END, ENDS_ON_WORKING},
    {"ends on the other foot", SLOT_END, ENDS_ON_OTHER},
    {"ends on the standing foot", SLOT_END, ENDS_ON_STANDING},

    {"working foot in front", SLOT_FRONT, MARQ_FRONT_WORKING},
    {"working foot behind", SLOT_FRONT, MARQ_FRONT_OTHER},
    {"feet kept", SLOT_FRONT, MARQ_FRONT_KEPT},
    {"feet exchanged", SLOT_FRONT, MARQ_FRONT_EXCHANGED},
    {"either foot in front", SLOT_FRONT, MARQ_FRONT_EITHER},

    {"feet change", SLOT_FEET, 1},
    {"feet stay", SLOT_FEET, 2},
    {"feet vary", SLOT_FEET, 3},

    {"travels toward the working foot", SLOT_TRAVEL, MARQ_TRAVEL_TO_WORKING},
    {"travels away from the working foot", SLOT_TRAVEL,
     MARQ_TRAVEL_FROM_WORKING},
    {"travels forward", SLOT_TRAVEL, MARQ_TRAVEL_FORWARD},
    {"travels back", SLOT_TRAVEL, MARQ_TRAVEL_BACK},
    {"travels to either side", SLOT_TRAVEL, MARQ_TRAVEL_SIDE},
    {"travels anywhere", SLOT_TRAVEL, MARQ_TRAVEL_ANY},

    {"lands on the working foot", SLOT_LANDS, MARQ_END_WORKING},
    {"lands on the other foot", SLOT_LANDS, MARQ_END_OTHER},

    {"any amount", SLOT_FLAG, MARQ_VARIANT_ANY_AMOUNT},
    {"nothing assumed before", SLOT_FLAG, MARQ_VARIANT_NO_LINK},
    {"fourth may be opened for it", SLOT_FLAG, MARQ_VARIANT_OPENS},
    {"only in a series", SLOT_FLAG, MARQ_VARIANT_SERIES},
    {"less usual", SLOT_FLAG, MARQ_VARIANT_LESS_USUAL},
    {"only before a step in that position", SLOT_FLAG, MARQ_VARIANT_NEXT_NAMED},
    {"no reverse", SLOT_REVERSE, 0},
};

typedef struct named {
    const char *words;
    uint8_t value;
} named;

static const named amounts[] = {{"a quarter", 2},
                                {"half", 4},
                                {"three quarters", 6},
                                {"once", 8},
                                {"twice", 16}};
static const named senses[] = {
    {"toward the working foot", MARQ_TURN_TO_WORKING},
    {"away from the working foot", MARQ_TURN_FROM_WORKING},
    {"toward the back foot", MARQ_TURN_TO_BACK},
    {"toward the front foot", MARQ_TURN_TO_FRONT},
    {"either way", MARQ_TURN_EITHER}};
#define TURN_MOST 24u /* three whole turns */

/* The row whose words `*text` begins with; moves *text past them. */
static const named *take_named(const named *rows, size_t count,
                               const char **text)
{
    for (size_t i = 0; i < count; i++) {
        const char *rest = marq_clause_after(*text, rows[i].words);
        if (rest) {
            *text = rest;
            return &rows[i];
        }
    }
    return NULL;
}
#define TAKE(rows, text) take_named(rows, sizeof(rows) / sizeof *(rows), text)

/* ---- reading ---- */
#define CLAUSE_ROOM 200

typedef struct reader {
    marq_clauses *out;
    const marq_load_text *text;
    marq_faults *faults;
    uint32_t said; /* bit a slot */
    marq_part place[SLOTS];
    unsigned workers; /* bit a marq_worker */
    uint8_t ending;
    uint8_t front;
    size_t fault_count;
} reader;

static void fault_at(reader *r, marq_diag kind, marq_part part)
{
    r->fault_count++;
    marq_fault_quote(r->faults, r->text, kind, part);
}

static void fault_missing(reader *r, const char *what)
{
    r->fault_count++;
    marq_fault_add(r->faults, r->text, MARQ_DIAG_VOCAB_MISSING,
                   r->out->who_part, r->out->who, what);
}

static bool was_said(const reader *r, enum slot slot)
{
    return r->said >> slot & 1u;
}

/* Marks a slot as said; a second time is a fault. */
static bool say(reader *r, enum slot slot, marq_part part)
{
    if (was_said(r, slot)) {
        fault_at(r, MARQ_DIAG_VOCAB_TWICE, part);
        return false;
    }
    r->said |= 1u << slot;
    r->place[slot] = part;
    return true;
}

/* "a or b or c" after "from". */
static bool read_from(reader *r, const char *words)
{
    marq_variant *v = &r->out->variant;
    char one[CLAUSE_ROOM];
    for (;;) {
        const char *end = strstr(words, " or ");
        size_t length = end ? (size_t)(end - words) : strlen(words);
        memcpy(one, words, length);
        one[length] = '\0';
        const char *place = marq_clause_after(one, "free leg");
        marq_position position = marq_clause_position(one);
        marq_free_mask mask = place ? marq_clause_place(place) : 0;
        if (position != MARQ_POSITIONS) {
            v->from_two |= (uint8_t)(1u << position);
            if (position == MARQ_FIFTH) {
                v->from_two |= 1u << MARQ_THIRD | 1u << MARQ_TIPS;
            }
        } else if (!strcmp(one, "two feet")) {
            v->from_two = (1u << MARQ_POSITIONS) - 1;
        } else if (!strcmp(one, "one foot")) {
            v->from_free = MARQ_FREE_ANY;
        } else if (mask) {
            v->from_free |= mask;
        } else {
            return false;
        }
        if (!end) {
            return true;
        }
        words = end + 4;
    }
}

static bool read_turn(reader *r, const char *words)
{
    marq_variant *v = &r->out->variant;
    const named *amount = TAKE(amounts, &words);
    unsigned eighths = 0;
    if (amount) {
        eighths = amount->value;
    } else {
        while (*words >= '0' && *words <= '9' && eighths <= TURN_MOST) {
            eighths = eighths * 10 + (unsigned)(*words++ - '0');
        }
        if (*words != ' ') {
            return false;
        }
        words =
            marq_clause_after(words + 1, eighths == 1 ? "eighth" : "eighths");
        if (!words || eighths == 0 || eighths > TURN_MOST) {
            return false;
        }
    }
    const named *sense = TAKE(senses, &words);
    if (!sense || *words) {
        return false;
    }
    v->turn_eighths = (uint8_t)eighths;
    v->turn_sense = sense->value;
    return true;
}

static void set_phrase(reader *r, const phrase *p, marq_part part)
{
    marq_variant *v = &r->out->variant;
    switch (p->slot) {
    case SLOT_WORKER: {
        unsigned bit = 1u << (p->value & (STEPS - 1));
        if (r->workers & bit) {
            fault_at(r, MARQ_DIAG_VOCAB_TWICE, part);
        }
        r->workers |= bit;
        r->said |= 1u << SLOT_WORKER;
        r->place[SLOT_WORKER] = part;
        if (p->value & STEPS) {
            v->flags |= MARQ_VARIANT_STEPS;
        }
        return;
    }
    case SLOT_FLAG:
        if (v->flags & p->value) {
            fault_at(r, MARQ_DIAG_VOCAB_TWICE, part);
        }
        v->flags |= p->value;
        return;
    default:
        break;
    }
    if (!say(r, (enum slot)p->slot, part)) {
        return;
    }
    switch (p->slot) {
    case SLOT_END:
        r->ending = (uint8_t)p->value;
        break;
    case SLOT_FRONT:
        r->front = (uint8_t)p->value;
        break;
    case SLOT_FEET:
        v->declared_feet = (uint8_t)p->value;
        break;
    case SLOT_TRAVEL:
        v->travel = (uint8_t)p->value;
        break;
    case SLOT_LANDS:
        v->lands = (uint8_t)p->value;
        break;
    default: /* no reverse */
        break;
    }
}

static const phrase *find_phrase(const char *words)
{
    for (size_t i = 0; i < sizeof phrases / sizeof *phrases; i++) {
        if (!strcmp(words, phrases[i].words)) {
            return &phrases[i];
        }
    }
    return NULL;
}

/* "ends in fifth", perhaps with "feet kept" behind it. */
static bool read_ends_in(reader *r, const char *words, marq_part part)
{
    char first[16];
    size_t n = strcspn(words, " ");
    if (n >= sizeof first) {
        return false;
    }
    memcpy(first, words, n);
    first[n] = '\0';
    marq_position position = marq_clause_position(first);
    if (position == MARQ_POSITIONS) {
        return false;
    }
    const phrase *front = NULL;
    if (words[n]) {
        const char *rest = words + n + 1;
        const char *with = marq_clause_after(rest, "with");
        front = find_phrase(with ? with : rest);
        if (!front || front->slot != SLOT_FRONT) {
            return false;
        }
    }
    if (say(r, SLOT_END, part)) {
        r->ending = ENDS_IN;
        r->out->variant.end_position = (uint8_t)position;
    }
    if (front) {
        set_phrase(r, front, part);
    }
    return true;
}

/* A clause that begins with fixed words and says more.  False: none. */
static bool read_open_clause(reader *r, const char *words, marq_part part)
{
    marq_variant *v = &r->out->variant;
    const char *rest;
    int value;
    if ((rest = marq_clause_after(words, "from"))) {
        r->said |= 1u << SLOT_FROM; /* it is there, if not understood */
        return read_from(r, rest);  /* several add up */
    }
    if ((rest = marq_clause_after(words, "free leg"))) {
        bool stays = !strcmp(rest, "as it was");
        marq_free_mask mask = stays ? 0 : marq_clause_place(rest);
        if (!stays && !mask) {
            r->said |= 1u << SLOT_FREE;
            return false;
        }
        if (say(r, SLOT_FREE, part)) {
            v->end_free = mask;
            v->flags |= stays ? MARQ_VARIANT_FREE_STAYS : 0;
        }
        return true;
    }
    if ((rest = marq_clause_after(words, "ends in"))) {
        if (!read_ends_in(r, rest, part)) {
            r->said |= 1u << SLOT_END;
            return false;
        }
        return true;
    }
    if ((rest = marq_clause_after(words, "turns"))) {
        return was_said(r, SLOT_TURN)
                   ? (say(r, SLOT_TURN, part), true)
                   : read_turn(r, rest) && say(r, SLOT_TURN, part);
    }
    if ((rest = marq_clause_after(words, "leaves"))) {
        value = marq_clause_gap(rest);
        if (value >= 0 && say(r, SLOT_LEAVES, part)) {
            v->leaves = (uint8_t)value;
        }
        return value >= 0;
    }
    if ((rest = marq_clause_after(words, "arrives"))) {
        value = marq_clause_gap(rest);
        if (value >= 0 && say(r, SLOT_ARRIVES, part)) {
            v->arrives = (uint8_t)value;
        }
        return value >= 0;
    }
    if ((rest = marq_clause_after(words, "level"))) {
        value = marq_clause_level(rest);
        if (value >= 0 && say(r, SLOT_LEVEL, part)) {
            v->level = (uint8_t)value;
        }
        return value >= 0;
    }
    if ((rest = marq_clause_after(words, "price"))) {
        bool good = rest[0] >= '0' && rest[0] <= '9' && !rest[1];
        if (!good) {
            r->said |= 1u << SLOT_PRICE;
        } else if (say(r, SLOT_PRICE, part)) {
            v->price = (uint8_t)(rest[0] - '0');
        }
        return good;
    }
    return false;
}

/* Skips the first word of a part. */
static marq_part skip_word(const reader *r, marq_part part)
{
    while (part.from < part.to && r->text->line[part.from] != ' ') {
        part.from++;
    }
    return marq_part_trim(r->text, part);
}

static void add_reverse(reader *r, marq_part name)
{
    if (r->out->reverse_count == MARQ_REVERSE_NAMES_MOST) {
        fault_at(r, MARQ_DIAG_VOCAB_CLAUSE, name);
        return;
    }
    r->out->reverse[r->out->reverse_count++] = name;
}

/* Reads one piece; *in_reverse: names may follow after a comma. */
static void read_clause(reader *r, marq_part part, bool *in_reverse)
{
    char words[CLAUSE_ROOM];
    bool short_enough = marq_part_words(r->text, part, words, sizeof words);
    bool names = *in_reverse;
    *in_reverse = false;
    /* Sources may be long and are not kept a line: what matters is that
     * something stands there. */
    if (marq_clause_after(words, "source")) {
        if (skip_word(r, part).from == part.to) {
            fault_at(r, MARQ_DIAG_VOCAB_CLAUSE, part);
        } else {
            say(r, SLOT_SOURCE, part);
        }
        return;
    }
    if (short_enough) {
        const phrase *p = find_phrase(words);
        if (p) {
            set_phrase(r, p, part);
            return;
        }
        if (marq_clause_after(words, "reverse")) {
            marq_part name = skip_word(r, part);
            if (name.from == name.to) {
                fault_at(r, MARQ_DIAG_VOCAB_CLAUSE, part);
            } else if (say(r, SLOT_REVERSE, part)) {
                add_reverse(r, name);
                *in_reverse = true;
            }
            return;
        }
        size_t faults_before = r->fault_count;
        if (read_open_clause(r, words, part) ||
            r->fault_count != faults_before) {
            return;
        }
    }
    if (names) {
        add_reverse(r, part);
        *in_reverse = true;
        return;
    }
    fault_at(r, MARQ_DIAG_VOCAB_CLAUSE, part);
}

/* ---- what the clauses say together ---- */
static void settle_worker(reader *r)
{
    marq_variant *v = &r->out->variant;
    unsigned two = 1u << MARQ_WORKS_FRONT | 1u << MARQ_WORKS_BACK;
    unsigned w = r->workers;
    if (!was_said(r, SLOT_WORKER)) {
        fault_missing(r, "foot that works");
        return;
    }
    /* From one foot, front, back and either all mean the free foot. */
    if (w & (two | 1u << MARQ_WORKS_EITHER)) {
        w &= ~(1u << MARQ_WORKS_FREE);
    }
    if (w == two) {
        w = 1u << MARQ_WORKS_EITHER;
    }
    if (w & (w - 1)) { /* more than one is left */
        fault_at(r, MARQ_DIAG_VOCAB_TWICE, r->place[SLOT_WORKER]);
        return;
    }
    while (w >>= 1) {
        v->worker++;
    }
}

static bool ends_on_one(uint8_t ending)
{
    return ending == ENDS_ON_WORKING || ending == ENDS_ON_OTHER ||
           ending == ENDS_ON_STANDING;
}

static void settle_end(reader *r)
{
    marq_variant *v = &r->out->variant;
    uint8_t e = r->ending;
    bool known = r->place[SLOT_END].to != 0; /* else not understood */
    if (!was_said(r, SLOT_END)) {
        fault_missing(r, "end");
        return;
    }
    if (!known) {
        return;
    }
    if (e & OTHER_CLOSES) {
        v->flags |= MARQ_VARIANT_OTHER_CLOSES;
        e &= (uint8_t)~OTHER_CLOSES;
    }
    if (was_said(r, SLOT_FRONT) && e != ENDS_IN) {
        fault_at(r, MARQ_DIAG_VOCAB_CLAUSE, r->place[SLOT_FRONT]);
    }
    if (r->place[SLOT_FREE].to && !ends_on_one(e)) {
        fault_at(r, MARQ_DIAG_VOCAB_CLAUSE, r->place[SLOT_FREE]);
    }
    if (ends_on_one(e)) {
        bool standing_works = v->worker == MARQ_WORKS_STANDING;
        v->end =
            e == ENDS_ON_WORKING || (e == ENDS_ON_STANDING && standing_works)
                ? MARQ_END_WORKING
                : MARQ_END_OTHER;
        if (!was_said(r, SLOT_FREE)) {
            fault_missing(r, "place of the free leg");
        }
    } else if (e == ENDS_IN) {
        bool crossed = v->end_position >= MARQ_THIRD;
        v->end = MARQ_END_TWO;
        v->end_front = r->front;
        if (crossed && !was_said(r, SLOT_FRONT)) {
            fault_missing(r, "front foot at the end");
        } else if (!crossed && was_said(r, SLOT_FRONT)) {
            fault_at(r, MARQ_DIAG_VOCAB_CLAUSE, r->place[SLOT_FRONT]);
        }
    } else if (e == ENDS_AS_IT_BEGAN || e == CLOSES_AS_IT_BEGAN) {
        v->end = MARQ_END_AS_BEGAN;
    } else {
        v->end = MARQ_END_TWO;
        v->end_position = MARQ_FIFTH;
        v->end_front = e & 7u;
    }
}

bool marq_clauses_read(marq_clauses *clauses, const marq_load_text *text,
                       marq_part part, marq_faults *faults)
{
    reader r = {.out = clauses, .text = text, .faults = faults};
    marq_part piece;
    char mark;
    bool in_reverse = false;
    clauses->variant = (marq_variant){.level = clauses->level,
                                      .leaves = clauses->gap,
                                      .arrives = clauses->gap};
    clauses->reverse_count = 0;
    while (marq_part_next(text, &part, ",;", &piece, &mark)) {
        if (piece.from < piece.to) {
            read_clause(&r, piece, &in_reverse);
        }
        in_reverse = in_reverse && mark == ',';
    }
    if (!was_said(&r, SLOT_FROM)) {
        fault_missing(&r, "start (from ...)");
    }
    settle_worker(&r);
    settle_end(&r);
    if (!was_said(&r, SLOT_PRICE)) {
        fault_missing(&r, "price");
    }
    return r.fault_count == 0 && !faults->no_memory;
}
