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

/* Readline calls back without an argument of ours. */
static const marq_vocab *forms_of;
static choice *choices;
static size_t choice_count;
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

/* All forms folded, in order, each fold once; made at the first completion. */
static void make_choices(void)
{
    size_t count = marq_vocab_form_count(forms_of);
    size_t kept = 0;

    if (choices != NULL || count == 0) {
        return;
    }
    choices = calloc(count, sizeof *choices);
    for (size_t i = 0; choices != NULL && i < count; i++) {
        const char *form = marq_vocab_form(forms_of, i);
        char folded[FOLD_MOST];

        (void)fold(folded, sizeof folded, form, strlen(form));
        choices[kept].form = form;
        choices[kept].folded = strdup(folded);
        kept += choices[kept].folded != NULL;
    }
    if (kept > 0) {
        qsort(choices, kept, sizeof *choices, compare_choices);
    }
    for (size_t i = 0; i < kept; i++) {
        if (choice_count > 0 &&
            strcmp(choices[choice_count - 1].folded, choices[i].folded) == 0) {
            free(choices[i].folded);
        } else {
            choices[choice_count++] = choices[i];
        }
    }
}

/* The choices that begin with `typed`, as [*from, *to). */
static void find_choices(const char *typed, size_t *from, size_t *to)
{
    size_t n = strlen(typed);

    *from = 0;
    while (*from < choice_count &&
           strncmp(choices[*from].folded, typed, n) < 0) {
        (*from)++;
    }
    *to = *from;
    while (*to < choice_count && strncmp(choices[*to].folded, typed, n) == 0) {
        (*to)++;
    }
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
static size_t shared_bytes(size_t from, size_t to)
{
    const char *first = choices[from].folded;
    const char *last = choices[to - 1].folded;
    char folded[FOLD_MOST];
    size_t same = 0;

    /* They are in order: what the first and the last share, all do. */
    while (first[same] != '\0' && first[same] == last[same]) {
        same++;
    }
    return fold(folded, same + 1 < sizeof folded ? same + 1 : sizeof folded,
                choices[from].form, strlen(choices[from].form));
}

/* Readline's list: first what to put in, then the matches, then NULL. */
static char **list_matches(const char *text, size_t head, size_t from,
                           size_t to)
{
    size_t count = to - from;
    char **list = calloc(count + 2, sizeof *list);
    size_t made = 1;

    if (list == NULL) {
        return NULL;
    }
    list[0] = join(text, head, choices[from].form, shared_bytes(from, to));
    for (size_t i = from; i < to && count > 1; i++) {
        list[made] =
            join(text, head, choices[i].form, strlen(choices[i].form));
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
    make_choices();
    while (at < length) {
        char typed[FOLD_MOST];
        size_t from, to;

        while (at < length && (text[at] == ' ' || text[at] == '\t')) {
            at++;
        }
        if (at == length ||
            fold(typed, sizeof typed, text + at, length - at) < length - at) {
            break;
        }
        find_choices(typed, &from, &to);
        if (to > from) {
            hidden_bytes = at;
            return list_matches(text, at, from, to);
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
    (void)fputc('\n', rl_outstream);
    rl_display_match_list(shown, count, longest > 0 ? longest : 0);
    rl_forced_update_display();
    free(shown);
}

void repl_complete_with(const marq_vocab *vocab)
{
    if (vocab == NULL) {
        for (size_t i = 0; i < choice_count; i++) {
            free(choices[i].folded);
        }
        free(choices);
        choices = NULL;
        choice_count = 0;
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
