/* test_terminal.c - the program at a pseudo-terminal: keys are typed, and
 * what stands on the screen is read.
 *
 * MARQUER names the program; without it build/marquer. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#define ROWS 2000 /* nothing scrolls away */
#define COLUMNS 200
#define CELL 8
#define PATIENCE 20 /* seconds for what must come */
#define PROMPT "marquer: "
#define MORE "   more: "

#define LEFT "\033[D"
#define UP "\033[A"
#define BACK "\177"

/* A screen: each cell holds the bytes of one character. */
typedef struct screen {
    char cell[ROWS][COLUMNS][CELL];
    size_t row, column;
    char part[CELL]; /* of a character whose end has not come yet */
    size_t part_length;
    bool odd;        /* a control byte came that it does not know */
} screen;

typedef struct terminal {
    screen on;
    int master, side; /* side: kept open, else the master reads an end */
    pid_t child;
    char folder[64]; /* the state folder */
} terminal;

/* ---- the screen ---- */

static size_t sequence_length(unsigned char first)
{
    return first < 0x80 ? 1 : first < 0xe0 ? 2 : first < 0xf0 ? 3 : 4;
}

static void put_byte(screen *s, char byte)
{
    if (s->part_length == 0 && (unsigned char)byte < 0x20) {
        if (byte == '\n') {
            s->row += s->row + 1 < ROWS;
        } else if (byte == '\r') {
            s->column = 0;
        } else if (byte == '\b') {
            s->column -= s->column > 0;
        } else if (byte != '\a') {
            s->odd = true;
        }
        return;
    }
    s->part[s->part_length++] = byte;
    if (s->part_length < sequence_length((unsigned char)s->part[0])) {
        return;
    }
    s->part[s->part_length] = '\0';
    memcpy(s->cell[s->row][s->column], s->part, s->part_length + 1);
    s->part_length = 0;
    s->column += s->column + 1 < COLUMNS;
}

/* A row as text, blanks at its end cut off. */
static void read_row(const screen *s, size_t row, char *out)
{
    size_t used = 0, end = 0;

    for (size_t i = 0; i < COLUMNS; i++) {
        const char *cell = s->cell[row][i];
        size_t n = strlen(cell);

        if (n == 0) {
            out[used++] = ' ';
            continue;
        }
        memcpy(out + used, cell, n);
        used += n;
        if (strcmp(cell, " ") != 0) {
            end = used;
        }
    }
    out[end] = '\0';
}

/* The first row from `from` on that has the words, or ROWS. */
static size_t row_with(const screen *s, size_t from, const char *words)
{
    char text[COLUMNS * CELL];

    for (size_t row = from; row <= s->row; row++) {
        read_row(s, row, text);
        if (strstr(text, words) != NULL) {
            return row;
        }
    }
    return ROWS;
}

static void show_screen(const screen *s)
{
    char text[COLUMNS * CELL];

    for (size_t row = 0; row <= s->row; row++) {
        read_row(s, row, text);
        fprintf(stderr, "  | %s\n", text);
    }
}

/* ---- the terminal ---- */

/* Takes in what comes for so many milliseconds; false at the end. */
static bool take_in(terminal *t, int milliseconds)
{
    struct pollfd from = {t->master, POLLIN, 0};
    char piece[4096];
    ssize_t got;

    if (poll(&from, 1, milliseconds) <= 0) {
        return true;
    }
    got = read(t->master, piece, sizeof piece);
    if (got <= 0) {
        return got < 0 && errno == EINTR;
    }
    for (ssize_t i = 0; i < got; i++) {
        put_byte(&t->on, piece[i]);
    }
    return true;
}

/* Waits until the row of the cursor is exactly `words` up to the cursor. */
static void await_row(terminal *t, size_t after, const char *words)
{
    time_t end = time(NULL) + PATIENCE;
    char text[COLUMNS * CELL] = "";

    while (time(NULL) <= end) {
        read_row(&t->on, t->on.row, text);
        /* the blank at the end of a prompt is cut off by reading */
        if (t->on.row >= after &&
            strncmp(text, words, strlen(words) - (strchr(words, ' ') ? 1 : 0))
                == 0 &&
            t->on.column >= strlen(words)) {
            return;
        }
        if (!take_in(t, 50)) {
            break;
        }
    }
    fprintf(stderr, "awaited \"%s\", the screen is:\n", words);
    show_screen(&t->on);
    fail();
}

static void await_words(terminal *t, size_t after, const char *words)
{
    time_t end = time(NULL) + PATIENCE;

    while (row_with(&t->on, after, words) == ROWS) {
        if (time(NULL) > end || !take_in(t, 50)) {
            fprintf(stderr, "awaited \"%s\", the screen is:\n", words);
            show_screen(&t->on);
            fail();
        }
    }
}

static void keys(terminal *t, const char *text)
{
    size_t length = strlen(text);

    while (length > 0) {
        ssize_t done = write(t->master, text, length);

        assert_true(done > 0 || errno == EINTR);
        if (done > 0) {
            text += done;
            length -= (size_t)done;
        }
    }
}

static void press(terminal *t, const char *key, size_t times)
{
    while (times-- > 0) {
        keys(t, key);
    }
}

/* Types a line and waits for the next prompt; the row the answer begins at. */
static size_t enter(terminal *t, const char *text)
{
    size_t row = t->on.row + 1;

    keys(t, text);
    keys(t, "\r");
    await_row(t, row, PROMPT);
    return row;
}

static void run_program(const char *folder, const char *name)
{
    const char *program = getenv("MARQUER");

    program = program != NULL && *program ? program : "build/marquer";
    (void)setsid();
    int side = open(name, O_RDWR);
    if (side < 0) {
        _exit(126);
    }
    (void)ioctl(side, TIOCSCTTY, 0);
    (void)dup2(side, 0);
    (void)dup2(side, 1);
    (void)dup2(side, 2);
    if (side > 2) {
        (void)close(side);
    }
    (void)setenv("TERM", "dumb", 1);
    (void)setenv("LC_ALL", "C.UTF-8", 1);
    (void)setenv("INPUTRC", "/dev/null", 1);
    (void)setenv("XDG_STATE_HOME", folder, 1);
    (void)execl(program, program, (char *)NULL);
    _exit(127);
}

static int set_size(int master, unsigned short columns)
{
    struct winsize size = {40, columns, 0, 0};

    return ioctl(master, TIOCSWINSZ, &size);
}

static int open_terminal(void **state)
{
    terminal *t = calloc(1, sizeof *t);
    const char *name;

    assert_non_null(t);
    (void)snprintf(t->folder, sizeof t->folder, "%s/marquer-state-XXXXXX",
                   P_tmpdir);
    assert_non_null(mkdtemp(t->folder));
    t->master = posix_openpt(O_RDWR | O_NOCTTY);
    assert_true(t->master >= 0);
    assert_int_equal(0, grantpt(t->master));
    assert_int_equal(0, unlockpt(t->master));
    assert_int_equal(0, set_size(t->master, 150));
    name = ptsname(t->master);
    assert_non_null(name);
    t->side = open(name, O_RDWR | O_NOCTTY);
    assert_true(t->side >= 0);
    t->child = fork();
    assert_true(t->child >= 0);
    if (t->child == 0) {
        run_program(t->folder, name);
    }
    *state = t;
    await_row(t, 0, PROMPT);
    return 0;
}

/* How it ended: its exit code, or -1 if it had to be killed. */
static int end_of(terminal *t)
{
    time_t end = time(NULL) + PATIENCE;
    int how = 0;

    while (time(NULL) <= end) {
        (void)take_in(t, 20);
        if (waitpid(t->child, &how, WNOHANG) == t->child) {
            t->child = 0;
            return WIFEXITED(how) ? WEXITSTATUS(how) : -1;
        }
    }
    return -1;
}

static int close_terminal(void **state)
{
    terminal *t = *state;
    char path[128];

    if (t->child > 0) {
        (void)kill(t->child, SIGKILL);
        (void)waitpid(t->child, NULL, 0);
    }
    (void)close(t->side);
    (void)close(t->master);
    (void)snprintf(path, sizeof path, "%s/marquer/history", t->folder);
    (void)unlink(path);
    (void)snprintf(path, sizeof path, "%s/marquer", t->folder);
    (void)rmdir(path);
    (void)rmdir(t->folder);
    free(t);
    return 0;
}

/* ---- tests ---- */

/* A line with accents that cannot be danced is recalled, the cursor moved
 * back, the word mended; the verdict is on the screen. */
static void test_mend_a_word(void **state)
{
    terminal *t = *state;
    size_t row = enter(t, "échappé sauté, jeté dessus, changement");

    assert_true(row_with(&t->on, row, "changement cannot follow") < ROWS);
    assert_true(row_with(&t->on, row, "stands   not known") < ROWS);
    row = enter(t, "undo");
    assert_true(row_with(&t->on, row, "échappé sauté, jeté") < ROWS);
    keys(t, UP UP);
    await_words(t, t->on.row, PROMPT "échappé sauté, jeté dessus, changement");
    press(t, LEFT, strlen(" dessus, changement"));
    press(t, BACK, 4); /* jeté, four characters in five bytes */
    keys(t, "assemblé");
    await_words(t, t->on.row,
                PROMPT "échappé sauté, assemblé dessus, changement");
    row = enter(t, "");
    assert_int_equal(ROWS, row_with(&t->on, row, "problem"));
    assert_true(row_with(&t->on, row, "assemblé dessus, changement") < ROWS);
    assert_true(row_with(&t->on, row, "stands   fifth, ") < ROWS);
    row = enter(t, "check");
    assert_int_equal(ROWS, row_with(&t->on, row, "problem"));
    assert_true(row_with(&t->on, row, "left side ") < ROWS);
    assert_false(t->on.odd); /* no escape sequence on a dumb terminal */
    keys(t, "quit\r");
    assert_int_equal(0, end_of(t));
}

static void test_completion(void **state)
{
    terminal *t = *state;

    keys(t, "1  changement, pas de bour\t");
    await_words(t, t->on.row, PROMPT "1  changement, pas de bourrée");
    keys(t, ", chang\t");
    await_words(t, t->on.row, "bourrée, changement");
    keys(t, "\025"); /* the whole line away */
    keys(t, "echappe s\t");
    await_words(t, t->on.row, PROMPT "échappé s");
    keys(t, "\025glissade derr\t");
    await_words(t, t->on.row, PROMPT "glissade derrière");
}

static void test_interrupt_and_end(void **state)
{
    terminal *t = *state;
    size_t row = t->on.row;

    keys(t, "entrechat quatre, entre");
    await_words(t, row, "quatre, entre");
    keys(t, "\003");
    await_row(t, row + 1, PROMPT);
    row = enter(t, "clean");
    assert_int_equal(ROWS, row_with(&t->on, row, "entrechat"));
    row = t->on.row;
    keys(t, "soubresaut (soft\r"); /* a bracket is open */
    await_row(t, row + 1, MORE);
    keys(t, "\003");
    await_row(t, row + 2, PROMPT);
    row = enter(t, "clean");
    assert_int_equal(ROWS, row_with(&t->on, row, "soubresaut"));
    row = t->on.row;
    keys(t, "soubresaut (soft\r");
    await_row(t, row + 1, MORE);
    row = enter(t, "arms), changement");
    assert_true(row_with(&t->on, row, "soubresaut (soft arms), changement") <
                ROWS);
    keys(t, "\004");
    assert_int_equal(0, end_of(t));
}

static void test_window_change(void **state)
{
    terminal *t = *state;
    size_t row;

    keys(t, "changem");
    await_words(t, t->on.row, "changem");
    assert_int_equal(0, set_size(t->master, 60));
    for (int i = 0; i < 5; i++) {
        (void)take_in(t, 20);
    }
    row = t->on.row;
    keys(t, "ent\r");
    await_row(t, row + 1, PROMPT);
    assert_true(row_with(&t->on, row, "stands   fifth, ") < ROWS);
    keys(t, "\004");
    assert_int_equal(0, end_of(t));
}

static void test_history_is_kept(void **state)
{
    terminal *t = *state;
    char path[128], text[256] = "";
    struct stat about;
    FILE *file;

    (void)enter(t, "pas de chat");
    (void)enter(t, "pas de chat");
    (void)enter(t, "royale");
    keys(t, "\004");
    assert_int_equal(0, end_of(t));
    (void)snprintf(path, sizeof path, "%s/marquer", t->folder);
    assert_int_equal(0, stat(path, &about));
    assert_int_equal(0700, about.st_mode & 0777);
    (void)snprintf(path, sizeof path, "%s/marquer/history", t->folder);
    file = fopen(path, "r");
    assert_non_null(file);
    (void)fread(text, 1, sizeof text - 1, file);
    (void)fclose(file);
    assert_string_equal("pas de chat\nroyale\n", text);
}

/* Bytes of a file come to the screen by number. */
static void test_nothing_raw(void **state)
{
    terminal *t = *state;
    char path[128], line[160];
    FILE *file;
    size_t row;

    (void)snprintf(path, sizeof path, "%s/odd.combo", t->folder);
    file = fopen(path, "w");
    assert_non_null(file);
    (void)fputs("changement (\033[2Jgone\233\007)\n", file);
    (void)fclose(file);
    (void)snprintf(line, sizeof line, "load %s", path);
    row = enter(t, line);
    (void)enter(t, "clean");
    (void)enter(t, "mark");
    (void)enter(t, "undo");
    (void)unlink(path);
    assert_true(row_with(&t->on, row, "\\x1b[2Jgone\\x9b\\x07") < ROWS);
    assert_false(t->on.odd);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define AT_TERMINAL(test) \
    cmocka_unit_test_setup_teardown(test, open_terminal, close_terminal)
        AT_TERMINAL(test_mend_a_word),
        AT_TERMINAL(test_completion),
        AT_TERMINAL(test_interrupt_and_end),
        AT_TERMINAL(test_window_change),
        AT_TERMINAL(test_history_is_kept),
        AT_TERMINAL(test_nothing_raw),
    };

    (void)signal(SIGPIPE, SIG_IGN);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
