#include "load_clause.h"

/* Phrases with a meaning of their own, inside and outside variant lines. */
typedef struct named {
    const char *words;
    uint8_t value;
} named;

#define SHAPE(s) (1u << (s))
static const named shapes[] = {
    {"a terre", SHAPE(MARQ_A_TERRE)},
    {"low", SHAPE(MARQ_LOW)},
    {"high", SHAPE(MARQ_HIGH)},
    {"at the ankle", SHAPE(MARQ_ANKLE)},
    {"at the knee", SHAPE(MARQ_KNEE)},
    {"in attitude", SHAPE(MARQ_ATTITUDE)},
    {"open", SHAPE(MARQ_A_TERRE) | SHAPE(MARQ_LOW) | SHAPE(MARQ_HIGH)},
    {"raised", SHAPE(MARQ_LOW) | SHAPE(MARQ_HIGH)},
    {"off the floor", SHAPE(MARQ_LOW) | SHAPE(MARQ_HIGH) | SHAPE(MARQ_ANKLE) |
                          SHAPE(MARQ_KNEE) | SHAPE(MARQ_ATTITUDE)},
};
static const named places[] = {{"front", 1u << MARQ_DEVANT},
                               {"side", 1u << MARQ_SIDE},
                               {"behind", 1u << MARQ_DERRIERE}};
static const named levels[] = {{"beginner", MARQ_BEGINNER},
                               {"elementary", MARQ_ELEMENTARY},
                               {"intermediate", MARQ_INTERMEDIATE},
                               {"advanced", MARQ_ADVANCED}};
static const named gaps[] = {{"still", MARQ_STILL},
                             {"moving", MARQ_MOVING},
                             {"in a jump", MARQ_JUMPING}};

const char *marq_clause_after(const char *text, const char *words)
{
    size_t n = strlen(words);
    if (strncmp(text, words, n) ||
        (text[n] && text[n] != ' ' && text[n] != '/')) {
        return NULL;
    }
    return text + n + (text[n] == ' ');
}

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

static int whole_named(const named *rows, size_t count, const char *words)
{
    const named *row = take_named(rows, count, &words);
    return row && !*words ? row->value : -1;
}

int marq_clause_level(const char *words)
{
    return whole_named(levels, sizeof levels / sizeof *levels, words);
}

int marq_clause_gap(const char *words)
{
    return whole_named(gaps, sizeof gaps / sizeof *gaps, words);
}

marq_position marq_clause_position(const char *words)
{
    for (unsigned p = 0; p < MARQ_POSITIONS; p++) {
        if (!strcmp(words, marq_position_name((marq_position)p))) {
            return (marq_position)p;
        }
    }
    return MARQ_POSITIONS;
}

/* One or several rows joined by slashes, as one mask; 0: none stands here.
 * *fault is set when a slash leads nowhere. */
static unsigned take_joined(const named *rows, size_t count,
                            const char **text, bool *fault)
{
    unsigned mask = 0;
    for (;;) {
        const named *row = take_named(rows, count, text);
        if (!row) {
            *fault |= mask != 0; /* after a slash */
            return mask;
        }
        mask |= row->value;
        const char *at = *text;
        if (*at != '/') {
            return mask;
        }
        at++;
        *text = at + (*at == ' ');
    }
}

marq_free_mask marq_clause_place(const char *words)
{
    bool fault = false;
    if (!strcmp(words, "anywhere")) {
        return MARQ_FREE_ANY;
    }
    unsigned shape = take_joined(shapes, sizeof shapes / sizeof *shapes,
                                 &words, &fault);
    unsigned where = take_joined(places, sizeof places / sizeof *places,
                                 &words, &fault);
    if (fault || *words || (!shape && !where)) {
        return 0;
    }
    marq_free_mask mask = 0;
    for (int s = 0; s < MARQ_SHAPES; s++) {
        for (int w = 0; w < MARQ_WHERES; w++) {
            if ((!shape || shape >> s & 1u) && (!where || where >> w & 1u)) {
                mask |= MARQ_FREE(s, w);
            }
        }
    }
    return mask;
}
