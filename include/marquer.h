/* marquer.h - follow a ballet combination, find what cannot be danced, write
 * the other side.
 *
 * The only public header.  Text goes in as UTF-8 bytes with a length; what is
 * wrong with a combination comes out as data (findings), never as a status.
 * A status tells only whether the call could be carried out.
 *
 * Ownership: an `out` pointer belongs to the caller, who frees it with the
 * function of its type.  Every other pointer returned is borrowed and lives
 * as long as the object it was asked of.  Strings returned carry a length and
 * are also zero-terminated.  Freeing NULL is fine; a NULL where an object is
 * needed gives MARQ_ARGUMENT, never a crash.
 *
 * Lifetimes nest: a vocabulary outlives its combinations, a combination its
 * reports.  A vocabulary is immutable and may be shared by threads; a
 * combination or a report belongs to one thread at a time.
 *
 * The library keeps no global state, reads no file, prints nothing, never
 * exits and uses no locale.
 */
#ifndef MARQUER_H
#define MARQUER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#if defined(__GNUC__)
#define MARQ_API __attribute__((visibility("default")))
#else
#define MARQ_API
#endif

#define MARQ_VERSION_MAJOR 0
#define MARQ_VERSION_MINOR 1
#define MARQ_VERSION_PATCH 0

/* Newest vocabulary format this library reads, and the oldest. */
#define MARQ_VOCAB_FORMAT_NEWEST 1
#define MARQ_VOCAB_FORMAT_OLDEST 1

/* ---- status ---------------------------------------------------------- */

/* 0 is success; every failure is negative.  Values are never reused. */
typedef enum marq_status {
    MARQ_OK = 0,
    MARQ_MEMORY = -1,     /* the allocator said no; nothing was changed */
    MARQ_ARGUMENT = -2,   /* a NULL or senseless argument */
    MARQ_LIMIT = -3,      /* a limit of the config was passed */
    MARQ_VOCABULARY = -4, /* a vocabulary text has faults; see `why` */
    MARQ_DEFECT = -5      /* a fault of this library */
} marq_status;

/* The name of a status in plain words.  May fail: never. */
MARQ_API const char *marq_status_text(marq_status status);

/* "major.minor.patch" of the library in use.  May fail: never. */
MARQ_API const char *marq_version(void);

/* ---- memory, limits, configuration ----------------------------------- */

/* One hook for all memory.  `ptr` NULL: allocate `new_size` bytes.
 * `new_size` 0: free `ptr`, return NULL.  Else: resize, keeping contents; on
 * failure return NULL and leave `ptr` as it was.  Alignment as of malloc. */
typedef void *(*marq_alloc_fn)(void *ctx, void *ptr, size_t new_size);

/* Limits.  0 in a field means its default. */
typedef struct marq_limits {
    size_t text_bytes; /* longest text read;          default 64 MiB      */
    size_t words;      /* most words in a text;       default 8 million   */
    size_t moves;      /* most steps after repeats are unrolled in one
                          text;                       default 1 million   */
    size_t findings;   /* most findings kept;         default 10 thousand */
    size_t times;      /* largest number of times a step is repeated;
                                                      default 1024        */
    size_t corrections; /* most corrections tried a problem;
                                                      default 20 thousand */
} marq_limits;

typedef struct marq_config {
    size_t struct_size; /* set by marq_config_init */
    marq_alloc_fn alloc; /* NULL: malloc's family */
    void *alloc_ctx;
    marq_limits limits;
} marq_config;

/* Fills in defaults.  May fail: never (NULL is ignored). */
MARQ_API void marq_config_init(marq_config *config);

/* ---- places in a text ------------------------------------------------ */

/* Bytes [from, to) of the text as the caller gave it. */
typedef struct marq_span {
    uint32_t from;
    uint32_t to;
} marq_span;

/* Line and column as an editor counts them, both from 1; the column counts
 * characters (code points), not bytes. */
typedef struct marq_place {
    uint32_t line;
    uint32_t column;
} marq_place;

/* An exact number of counts: num / den, den > 0, in lowest terms. */
typedef struct marq_count {
    int64_t num;
    int64_t den;
} marq_count;

/* ---- sides, feet ------------------------------------------------------ */

typedef enum marq_side {
    MARQ_SIDE_NONE = 0,
    MARQ_SIDE_RIGHT = 1,
    MARQ_SIDE_LEFT = 2
} marq_side;

/* ---- findings --------------------------------------------------------- */

typedef enum marq_severity {
    MARQ_NOTE = 0,     /* something was assumed or kept as it is */
    MARQ_QUESTION = 1, /* readings differ; an answer would settle it */
    MARQ_PROBLEM = 2   /* cannot be danced, or two written things clash */
} marq_severity;

typedef enum marq_confidence {
    MARQ_CERTAIN = 0, /* the only correction of its price */
    MARQ_LIKELY = 1,
    MARQ_ONE_OF_SEVERAL = 2
} marq_confidence;

/* One change of text: bytes of `span` are replaced by `text`. */
typedef struct marq_fix {
    marq_span span;
    const char *text;
    size_t text_length;
    const char *label; /* what it does, in words; a statement */
    marq_confidence confidence;
} marq_fix;

/* A second place that belongs to a finding, with what stands there. */
typedef struct marq_related {
    marq_span span;
    const char *label;
} marq_related;

#define MARQ_RELATED_MOST 3
#define MARQ_FIXES_MOST 3
#define MARQ_NOTES_MOST 4

typedef struct marq_finding {
    const char *code; /* a letter and three digits, permanent */
    marq_severity severity;
    bool has_span;
    marq_span span;       /* the smallest part at fault */
    const char *headline; /* stands alone; no full stop */
    const char *label;    /* shorter, for below the underline; may be "" */
    bool has_count;
    marq_count count; /* when, if counts are written */
    size_t related_count;
    marq_related related[MARQ_RELATED_MOST];
    size_t note_count;
    const char *notes[MARQ_NOTES_MOST];
    size_t fix_count;
    marq_fix fixes[MARQ_FIXES_MOST];
} marq_finding;

typedef struct marq_findings marq_findings;

/* How many findings.  NULL counts as none.  May fail: never. */
MARQ_API size_t marq_finding_count(const marq_findings *findings);
/* The i-th finding in order of text, or NULL past the end. */
MARQ_API const marq_finding *marq_finding_at(const marq_findings *findings,
                                             size_t i);
/* How many of one severity. */
MARQ_API size_t marq_finding_count_of(const marq_findings *findings,
                                      marq_severity severity);
/* Only findings that came out of a call by an `out` pointer (`why`) are
 * freed so; those of a combination or report are borrowed. */
MARQ_API void marq_findings_free(marq_findings *findings);

/* ---- vocabulary -------------------------------------------------------- */

typedef struct marq_vocab marq_vocab;

/* The vocabulary the library ships with, digested when it was built.
 * May fail: memory, argument. */
MARQ_API marq_status marq_vocab_builtin(marq_vocab **out,
                                        const marq_config *config);

/* One file of vocabulary text; `name` is used in findings' labels only. */
typedef struct marq_vocab_text {
    const char *name;
    const char *text;
    size_t length;
} marq_vocab_text;

/* Loads whole vocabularies from text by the format of vocab/README.md.  With
 * `base`, the texts are an overlay on it (its entries stay unless named
 * again); without, they must be complete.  All faults of all texts come back
 * in `*why` (may be NULL if not wanted; else *why is NULL when there are
 * none, and the caller frees it).  Nothing is half loaded.
 * May fail: memory, argument, limit, vocabulary. */
MARQ_API marq_status marq_vocab_load(marq_vocab **out,
                                     const marq_config *config,
                                     const marq_vocab *base,
                                     const marq_vocab_text *texts,
                                     size_t text_count, marq_findings **why);
MARQ_API void marq_vocab_free(marq_vocab *vocab);

/* Terms, for completion and lists: how many, and the i-th canonical name
 * (NULL past the end). */
MARQ_API size_t marq_vocab_term_count(const marq_vocab *vocab);
MARQ_API const char *marq_vocab_term_name(const marq_vocab *vocab, size_t i);
/* The i-th written form of any term (for completion), NULL past the end. */
MARQ_API size_t marq_vocab_form_count(const marq_vocab *vocab);
MARQ_API const char *marq_vocab_form(const marq_vocab *vocab, size_t i);

/* ---- combinations ------------------------------------------------------ */

typedef struct marq_combo marq_combo;

typedef struct marq_read_opts {
    size_t struct_size; /* sizeof(marq_read_opts) */
    const char *name;   /* of the text, for printed places; may be NULL */
} marq_read_opts;

/* Reads a text.  The bytes are copied.  Broken UTF-8, NUL bytes and words
 * nobody knows are findings of the combination, not failures.  `opts` may be
 * NULL.  May fail: memory, argument, limit. */
MARQ_API marq_status marq_combo_read(marq_combo **out, const marq_vocab *vocab,
                                     const char *text, size_t length,
                                     const marq_read_opts *opts);
MARQ_API void marq_combo_free(marq_combo *combo);

/* The text it was read from (borrowed). */
MARQ_API const char *marq_combo_text(const marq_combo *combo, size_t *length);
/* True when the text ends inside a bracket: more is needed. */
MARQ_API bool marq_combo_unfinished(const marq_combo *combo);
/* What reading alone found. */
MARQ_API const marq_findings *marq_combo_findings(const marq_combo *combo);
/* Where a byte of the text stands for an editor. */
MARQ_API marq_place marq_combo_place(const marq_combo *combo, size_t byte);

/* The same combination with left and right exchanged, as a combination of
 * its own whose text is a clean copy that states its start and finish.
 * May fail: memory, argument, limit. */
MARQ_API marq_status marq_other_side(marq_combo **out,
                                     const marq_combo *combo);

/* ---- following --------------------------------------------------------- */

typedef struct marq_report marq_report;

typedef struct marq_check_opts {
    size_t struct_size; /* sizeof(marq_check_opts) */
    bool no_corrections; /* leave out the search for corrections */
} marq_check_opts;

/* Follows a combination through all its readings and joins feet, facing and
 * counts.  `opts` may be NULL.  May fail: memory, argument, limit. */
MARQ_API marq_status marq_check(marq_report **out, const marq_combo *combo,
                                const marq_check_opts *opts);
MARQ_API void marq_report_free(marq_report *report);

/* Everything found, reading included, in order of text. */
MARQ_API const marq_findings *marq_report_findings(const marq_report *report);

/* One answer of "ready for the left?". */
typedef enum marq_ready {
    MARQ_READY_YES = 0,
    MARQ_READY_TURN = 1, /* facing only: ready with the usual turn from one
                            croise to the other, which is assumed */
    MARQ_READY_NO = 2,
    MARQ_READY_OPEN = 3, /* readings differ */
    MARQ_READY_UNKNOWN = 4 /* not written, or not known after a break */
} marq_ready;

typedef struct marq_readiness {
    marq_ready whole; /* never better than the worst of the four; a facing
                         that is not written does not count */
    marq_ready position;
    marq_ready front_foot;
    marq_ready free_leg;
    marq_ready facing;
    marq_side first_side;     /* the side this text begins on */
    bool first_side_assumed;  /* nothing written said so */
    bool changes_known;       /* else foot_changes says nothing */
    size_t foot_changes;      /* of the front foot, over the whole text */
} marq_readiness;

/* May fail: never (NULL gives all unknown). */
MARQ_API marq_readiness marq_report_readiness(const marq_report *report);

/* A moment: where one stands after a step, along the customary reading.  All
 * texts are borrowed, "" where unknown or without meaning. */
typedef struct marq_moment {
    bool known;          /* false after a break */
    marq_span span;      /* of the step in the text */
    const char *count;   /* as printed: "1", "3-4", "5 &"; "" if none */
    const char *step;    /* the step with its variant, clean spelling */
    const char *weight;  /* "both", "right", "left" */
    const char *feet;    /* "fifth, right front" or "left at the ankle behind" */
    const char *level;   /* "flat", "bent", "tips" */
    const char *facing;  /* "front left corner (croise)"; "" if not written */
    bool assumed;        /* something of this step was assumed */
    marq_count at;       /* when it begins, running from 1 over the text, and
                            how long it lasts; length.den is 0 if no counts
                            are written */
    marq_count length;
} marq_moment;

/* Row 0 is the start; then a row a step danced (repeats unrolled). */
MARQ_API size_t marq_report_moment_count(const marq_report *report);
MARQ_API marq_moment marq_report_moment(const marq_report *report, size_t i);

/* Counts in all, where counts are written. */
typedef struct marq_sum {
    bool written;       /* some counts were written */
    marq_count total;   /* sum of the written counts, or the estimate */
    bool estimated;     /* total rests on usual lengths */
    uint32_t phrase;    /* 8, or 6 */
    marq_count missing; /* to the next whole phrase; 0 if it fills */
} marq_sum;
MARQ_API marq_sum marq_report_sum(const marq_report *report);
/* Written counts of the i-th line that has some, and of the i-th phrase (a
 * blank line or a semicolon ends one).  False past the end.  May fail:
 * never. */
MARQ_API bool marq_report_line_sum(const marq_report *report, size_t i,
                                   marq_count *sum);
MARQ_API bool marq_report_phrase_sum(const marq_report *report, size_t i,
                                     marq_count *sum);

/* ---- text out ------------------------------------------------------------ */

typedef struct marq_text marq_text;
MARQ_API const char *marq_text_bytes(const marq_text *text, size_t *length);
MARQ_API void marq_text_free(marq_text *text);

typedef struct marq_print_opts {
    size_t struct_size;
    bool with_assumed; /* write assumed details, each with its mark; needs a
                          report */
} marq_print_opts;

/* The clean copy.  With a report, assumed details can be written in.
 * `report` and `opts` may be NULL.  May fail: memory, argument. */
MARQ_API marq_status marq_print(marq_text **out, const marq_combo *combo,
                                const marq_report *report,
                                const marq_print_opts *opts);

typedef enum marq_layout {
    MARQ_LAYOUT_FULL = 0, /* findings with the line and an underline, then
                             sums, end and readiness; each finding, in their
                             order, is lines that are not empty and then an
                             empty one */
    MARQ_LAYOUT_LINES = 1, /* one finding a line:
                              name:line:column: severity: text [code] */
    MARQ_LAYOUT_TABLE = 2  /* the walk-through, a row a count or a step */
} marq_layout;

typedef struct marq_render_opts {
    size_t struct_size;
    marq_layout layout;
    const char *name; /* of the text; NULL: "-" */
    bool colour;      /* add escape sequences for colour */
    uint32_t width;   /* columns; 0: 80 */
} marq_render_opts;

/* A report as text for people or editors.  Control and escape bytes of the
 * user's text are shown, never passed on.  May fail: memory, argument. */
MARQ_API marq_status marq_render(marq_text **out, const marq_report *report,
                                 const marq_render_opts *opts);

/* The same for findings without a report (a vocabulary's faults): lines only.
 * `text` is what the spans point into. */
MARQ_API marq_status marq_render_findings(marq_text **out,
                                          const marq_config *config,
                                          const marq_findings *findings,
                                          const char *text, size_t length,
                                          const char *name);

/* The long explanation of a finding's code ("S001"): one headline for what
 * the code means, or NULL if there is no such code. */
MARQ_API const char *marq_explain(const char *code);
/* The i-th code of the catalogue, NULL past the end. */
MARQ_API const char *marq_code_at(size_t i);

#ifdef __cplusplus
}
#endif
#endif
