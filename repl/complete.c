/* complete.c - terms and words of the vocabulary completed as they are typed,
 * accents or none, however many words they have. */
#include <stdlib.h>
#include <string.h>

/* readline's headers need the C library's first. */
#include <stdio.h>

#include <readline/readline.h>

#include "repl.h"

#define FOLD_MOST 256

typedef struct choice {
    const char *form; /* borrowed from the vocabulary */
    char *folded;
} choice;

typedef struct choices { /* in order of `folded`, each fold once */
    choice *at;
    size_t count;
} choices;

/* Readline calls back without an argument of ours. */
static const marq_vocab *forms_of;
static choices names; /* of terms: offered before anything else */
static choices forms; /* all written forms */
static size_t hidden_bytes; /* of each match: what stands before the form */

/* Small letters without accents; combining accents vanish, a hyphen is a
 * blank.  0: leave it out. */
static char plain_letter(unsigned long code)
{
    /* U+00C0 to U+017F, '.' where there is no plain letter */
    static const char latin[] =
        "aaaaaaaceeeeiiiidnooooo.ouuuuy.saaaaaaaceeeeiiiidnooooo.ouuuuy.y"
        "aaaaaaccccccccddddeeeeeeeeeegggggggghhhhiiiiiiiiiiiijjkkklllllll"
        "lllnnnnnnnnnoooooooorrrrrrssssssssttttttuuuuuuuuuuuuwwyyyzzzzzzs";

    if (code < 0x80) {
        if (code >= 'A' && code <= 'Z') {
            return (char)(code - 'A' + 'a');
        }
        return code == '-' ? ' ' : (char)code;
    }
    if (code >= 0xc0 && code < 0x180) {
        return latin[code - 0xc0];
    }
    if (code == 0x2019) {
        return '\'';
    }
    return code >= 0x300 && code < 0x370 ? '\0' : '.';
}

/* Folds into `room` bytes, zero-terminated; how much of the source fitted. */
static size_t fold(char *out, size_t room, const char *bytes, size_t length)
{
    size_t used = 0;
    size_t at = 0;

    while (at < length && used + 1 < room) {
        unsigned long code = 0;
        size_t taken = repl_decode(bytes + at, length - at, &code);
        char letter = taken > 0 ? plain_letter(code) : '.';

        at += taken > 0 ? taken : 1;
        if (letter != '\0') {
            out[used++] = letter;
        }
    }
    out[used] = '\0';
    return at;
}

static int compare_choices(const void *a, const void *b)
{
    const choice *x = a;
    const choice *y = b;
    int order = strcmp(x->folded, y->folded);

    if (order != 0) {
        return order;
    }
    /* With accents, which take more bytes, before without. */
    return strlen(x->form) < strlen(y->form) ? 1 : -1;
}

static choices make_choices(const char *(*get)(const marq_vocab *, size_t),
                            size_t count)
{
    choices made = {calloc(count + 1, sizeof(choice)), 0};
    size_t kept = 0;

    for (size_t i = 0; made.at != NULL && i < count; i++) {
        const char *form = get(forms_of, i);
        char folded[FOLD_MOST];

        if (form[0] == '\0' || form[strlen(form) - 1] == '.') {
            continue; /* nobody completes to an abbreviation */
        }
        (void)fold(folded, sizeof folded, form, strlen(form));
        made.at[kept].form = form;
        made.at[kept].folded = strdup(folded);
        kept += made.at[kept].folded != NULL;
    }
    if (kept > 0) {
        qsort(made.at, kept, sizeof *made.at, compare_choices);
    }
    for (size_t i = 0; i < kept; i++) {
        if (made.count > 0 && strcmp(made.at[made.count - 1].folded,
                                     made.at[i].folded) == 0) {
            free(made.at[i].folded);
        } else {
            made.at[made.count++] = made.at[i];
        }
    }
    return made;
}

static void free_choices(choices *c)
{
    for (size_t i = 0; i < c->count; i++) {
        free(c->at[i].folded);
    }
    free(c->at);
    c->at = NULL;
    c->count = 0;
}

/* The choices that begin with `typed`. */
static choices find_choices(const choices *c, const char *typed)
{
    size_t n = strlen(typed);
    size_t from = 0, to;

    while (from < c->count && strncmp(c->at[from].folded, typed, n) < 0) {
        from++;
    }
    to = from;
    while (to < c->count && strncmp(c->at[to].folded, typed, n) == 0) {
        to++;
    }
    return (choices){c->at + from, to - from};
}

static char *join(const char *head, size_t head_length, const char *tail,
                  size_t tail_length)
{
    char *made = malloc(head_length + tail_length + 1);

    if (made != NULL) {
        memcpy(made, head, head_length);
        memcpy(made + head_length, tail, tail_length);
        made[head_length + tail_length] = '\0';
    }
    return made;
}

/* How many bytes of the first choice all of them share when folded. */
static size_t shared_bytes(const choices *found)
{
    const char *first = found->at[0].folded;
    const char *last = found->at[found->count - 1].folded;
    const char *form = found->at[0].form;
    char folded[FOLD_MOST];
    size_t same = 0;

    /* They are in order: what the first and the last share, all do. */
    while (first[same] != '\0' && first[same] == last[same]) {
        same++;
    }
    return fold(folded, same + 1 < sizeof folded ? same + 1 : sizeof folded,
                form, strlen(form));
}

/* Readline's list: first what to put in, then the matches, then NULL. */
static char **list_matches(const char *text, size_t head, const choices *found)
{
    char **list = calloc(found->count + 2, sizeof *list);
    size_t made = 1;

    if (list == NULL) {
        return NULL;
    }
    list[0] = join(text, head, found->at[0].form, shared_bytes(found));
    for (size_t i = 0; i < found->count && found->count > 1; i++) {
        const char *form = found->at[i].form;

        list[made] = join(text, head, form, strlen(form));
        made += list[made] != NULL;
    }
    if (list[0] == NULL) {
        for (size_t i = 1; i < made; i++) {
            free(list[i]);
        }
        free(list);
        return NULL;
    }
    return list;
}

/* The longest end of what was typed of an item that begins a form: "pas de
 * b" as it stands, of "glissade der" only "der", of "1-2 ass" only "ass". */
static char **complete_item(const char *text, int start, int end)
{
    size_t length = strlen(text);
    size_t at = 0;

    (void)start;
    (void)end;
    rl_attempted_completion_over = 1;
    rl_completion_append_character = '\0';
    if (forms.at == NULL) { /* at the first completion */
        names = make_choices(marq_vocab_term_name,
                             marq_vocab_term_count(forms_of));
        forms = make_choices(marq_vocab_form, marq_vocab_form_count(forms_of));
    }
    while (at < length) {
        char typed[FOLD_MOST];
        choices found;

        while (at < length && (text[at] == ' ' || text[at] == '\t')) {
            at++;
        }
        if (at == length ||
            fold(typed, sizeof typed, text + at, length - at) < length - at) {
            break;
        }
        found = find_choices(&names, typed);
        if (found.count == 0) {
            found = find_choices(&forms, typed);
        }
        if (found.count > 0) {
            hidden_bytes = at;
            return list_matches(text, at, &found);
        }
        while (at < length && text[at] != ' ' && text[at] != '\t') {
            at++;
        }
    }
    return NULL;
}

/* Only the forms are listed, not what was typed before them. */
static void list_forms(char **matches, int count, int longest)
{
    char **shown = calloc((size_t)count + 2, sizeof *shown);

    if (shown == NULL) {
        return;
    }
    for (int i = 0; i <= count; i++) {
        size_t n = strlen(matches[i]);

        shown[i] = matches[i] + (n > hidden_bytes ? hidden_bytes : n);
    }
    longest -= (int)hidden_bytes;
    rl_display_match_list(shown, count, longest > 0 ? longest : 0);
    rl_forced_update_display();
    free(shown);
}

void repl_complete_with(const marq_vocab *vocab)
{
    if (vocab == NULL) {
        free_choices(&names);
        free_choices(&forms);
        rl_attempted_completion_function = NULL;
        return;
    }
    forms_of = vocab;
    /* An item ends where the notation ends it, not at a blank. */
    rl_completer_word_break_characters = ",;:()[]+>";
    rl_completer_quote_characters = "";
    rl_sort_completion_matches = 0;
    rl_attempted_completion_function = complete_item;
    rl_completion_display_matches_hook = list_forms;
}
