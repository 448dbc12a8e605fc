/* entry.c - any bytes through every door of the library, and what must hold
 * of all that comes back. */
#include "entry.h"

#include <stdarg.h>
#include <string.h>

/* ---- saying what is wrong ---- */

/* The first rule broken is the one told. */
__attribute__((format(printf, 2, 3))) static bool
broken(fuzz_fault *fault, const char *form, ...) {
    va_list args;

    va_start(args, form);
    if (fault->why[0] == '\0') {
        vsnprintf(fault->why, sizeof fault->why, form, args);
    }
    va_end(args);
    return false;
}

/* ---- bytes ---- */

/* Length of the character at `at`, 0 if it is none. */
static size_t character(const uint8_t *at, size_t left) {
    uint32_t code;
    size_t more, i;
    static const uint32_t least[] = {0, 0x80, 0x800, 0x10000};

    if (at[0] < 0x80) {
        return 1;
    }
    more = at[0] >= 0xf0 ? 3 : at[0] >= 0xe0 ? 2 : 1;
    if (at[0] < 0xc2 || at[0] > 0xf4 || left <= more) {
        return 0;
    }
    code = at[0] & (0x3fu >> more);
    for (i = 1; i <= more; i++) {
        if ((at[i] & 0xc0) != 0x80) {
            return 0;
        }
        code = code << 6 | (at[i] & 0x3fu);
    }
    if (code < least[more] || code > 0x10ffff ||
        (code >= 0xd800 && code < 0xe000)) {
        return 0;
    }
    return more + 1;
}

bool fuzz_is_utf8(const char *bytes, size_t length) {
    const uint8_t *at = (const uint8_t *)bytes;
    size_t i = 0;

    while (i < length) {
        size_t one = character(at + i, length - i);

        if (one == 0) {
            return false;
        }
        i += one;
    }
    return true;
}

bool fuzz_is_clean(const char *bytes, size_t length, bool colour) {
    const uint8_t *at = (const uint8_t *)bytes;
    size_t i;

    if (!fuzz_is_utf8(bytes, length)) {
        return false;
    }
    for (i = 0; i < length; i++) {
        if (at[i] == 0x1b && colour && i + 1 < length && at[i + 1] == '[') {
            i += 2;
            while (i < length &&
                   ((at[i] >= '0' && at[i] <= '9') || at[i] == ';')) {
                i++;
            }
            if (i == length || at[i] != 'm') {
                return false;
            }
        } else if ((at[i] < 0x20 && at[i] != '\n') || at[i] == 0x7f) {
            return false;
        } else if (at[i] == 0xc2 && at[i + 1] < 0xa0) {
            return false; /* U+0080 to U+009F */
        }
    }
    return true;
}

/* ---- findings ---- */

typedef struct source {
    const char *bytes;
    size_t length;
    bool is_utf8;
} source;

static source source_of(const char *bytes, size_t length) {
    source s = {bytes, length, fuzz_is_utf8(bytes, length)};

    return s;
}

/* True if a span may end or begin there. */
static bool on_boundary(const source *s, size_t at) {
    return !s->is_utf8 || at >= s->length ||
           ((unsigned char)s->bytes[at] & 0xc0) != 0x80;
}

static bool span_holds(const source *s, marq_span span, const char *of,
                       const char *code, fuzz_fault *fault) {
    if (span.from > span.to || span.to > s->length) {
        return broken(fault, "%s %s: span %u-%u of %zu bytes", code, of,
                      (unsigned)span.from, (unsigned)span.to, s->length);
    }
    if (!on_boundary(s, span.from) || !on_boundary(s, span.to)) {
        return broken(fault, "%s %s: span %u-%u splits a character", code, of,
                      (unsigned)span.from, (unsigned)span.to);
    }
    return true;
}

/* A text of a finding: there, and UTF-8 if what it quotes is. */
static bool words_hold(const source *s, const char *text, bool may_be_empty,
                       const char *of, const char *code, fuzz_fault *fault) {
    if (text == NULL || (!may_be_empty && *text == '\0')) {
        return broken(fault, "%s: no %s", code, of);
    }
    if (s->is_utf8 && !fuzz_is_utf8(text, strlen(text))) {
        return broken(fault, "%s: the %s is not UTF-8", code, of);
    }
    return true;
}

static bool fix_holds(const source *s, const marq_fix *fix, const char *code,
                      fuzz_fault *fault) {
    if (fix->confidence < MARQ_CERTAIN ||
        fix->confidence > MARQ_ONE_OF_SEVERAL) {
        return broken(fault, "%s: a fix of confidence %d", code,
                      (int)fix->confidence);
    }
    return span_holds(s, fix->span, "fix", code, fault) &&
           words_hold(s, fix->text, true, "text of a fix", code, fault) &&
           words_hold(s, fix->label, false, "label of a fix", code, fault) &&
           (fix->text_length == strlen(fix->text) ||
            broken(fault, "%s: a fix says %zu bytes and has %zu", code,
                   fix->text_length, strlen(fix->text)));
}

static bool finding_holds(const source *s, const marq_finding *f,
                          fuzz_fault *fault) {
    size_t i;

    if (f == NULL || f->code == NULL || marq_explain(f->code) == NULL) {
        return broken(fault, "a finding without a code of the catalogue");
    }
    if (f->severity < MARQ_NOTE || f->severity > MARQ_PROBLEM) {
        return broken(fault, "%s: severity %d", f->code, (int)f->severity);
    }
    if (f->has_count && f->count.den <= 0) {
        return broken(fault, "%s: a count over %lld", f->code,
                      (long long)f->count.den);
    }
    if (f->related_count > MARQ_RELATED_MOST ||
        f->note_count > MARQ_NOTES_MOST || f->fix_count > MARQ_FIXES_MOST) {
        return broken(fault, "%s: more parts than there is room for", f->code);
    }
    if (f->has_span && !span_holds(s, f->span, "finding", f->code, fault)) {
        return false;
    }
    if (!words_hold(s, f->headline, false, "headline", f->code, fault) ||
        !words_hold(s, f->label, true, "label", f->code, fault)) {
        return false;
    }
    for (i = 0; i < f->related_count; i++) {
        if (!span_holds(s, f->related[i].span, "related", f->code, fault) ||
            !words_hold(s, f->related[i].label, true, "label of a place",
                        f->code, fault)) {
            return false;
        }
    }
    for (i = 0; i < f->note_count; i++) {
        if (!words_hold(s, f->notes[i], false, "note", f->code, fault)) {
            return false;
        }
    }
    for (i = 0; i < f->fix_count; i++) {
        if (!fix_holds(s, &f->fixes[i], f->code, fault)) {
            return false;
        }
    }
    return true;
}

static bool findings_hold(const source *s, const marq_findings *findings,
                          bool ordered, fuzz_fault *fault) {
    size_t count = marq_finding_count(findings);
    size_t of[3] = {0}, i;
    uint32_t last = 0;

    for (i = 0; i < count; i++) {
        const marq_finding *f = marq_finding_at(findings, i);

        if (!finding_holds(s, f, fault)) {
            return false;
        }
        of[f->severity]++;
        if (ordered && f->has_span) {
            if (f->span.from < last) {
                return broken(fault, "%s at %u stands after one at %u", f->code,
                              (unsigned)f->span.from, (unsigned)last);
            }
            last = f->span.from;
        }
    }
    for (i = 0; i < 3; i++) {
        if (marq_finding_count_of(findings, (marq_severity)i) != of[i]) {
            return broken(fault, "findings of severity %zu: counted %zu", i,
                          of[i]);
        }
    }
    return marq_finding_at(findings, count) == NULL ||
           broken(fault, "a finding past the last");
}

/* ---- texts out ---- */

/* A combination written out again is for reading back, not for a terminal:
 * remarks and titles keep their bytes.  But nothing unclean is added. */
static bool copy_holds(const source *s, const char *bytes, size_t length,
                       const char *of, fuzz_fault *fault) {
    size_t i;

    if (bytes == NULL || bytes[length] != '\0') {
        return broken(fault, "%s: not zero-terminated", of);
    }
    for (i = 0; i < length; i++) {
        if (((unsigned char)bytes[i] < 0x20 && bytes[i] != '\n') ||
            bytes[i] == 0x7f) {
            if (memchr(s->bytes, bytes[i], s->length) == NULL) {
                return broken(fault, "%s: a byte %02x out of nothing", of,
                              (unsigned)bytes[i]);
            }
        }
    }
    if (s->is_utf8 && !fuzz_is_utf8(bytes, length)) {
        return broken(fault, "%s: not UTF-8, the text was", of);
    }
    return true;
}

/* Frees the text. */
static bool text_holds(marq_status status, marq_text *text, bool colour,
                       const char *of, fuzz_fault *fault) {
    size_t length = 0;
    const char *bytes = marq_text_bytes(text, &length);
    bool good = false;

    if (status != MARQ_OK) {
        broken(fault, "%s: %s", of, marq_status_text(status));
    } else if (bytes == NULL || bytes[length] != '\0') {
        broken(fault, "%s: not zero-terminated", of);
    } else if (!fuzz_is_clean(bytes, length, colour)) {
        broken(fault, "%s: control bytes or no UTF-8 in what is printed", of);
    } else {
        good = true;
    }
    marq_text_free(text);
    return good;
}

static bool renders(const marq_report *report, fuzz_fault *fault) {
    static const marq_render_opts tried[] = {
        {sizeof tried[0], MARQ_LAYOUT_FULL, NULL, false, 0},
        {sizeof tried[0], MARQ_LAYOUT_FULL, "hall.combo", true, 1},
        {sizeof tried[0], MARQ_LAYOUT_LINES, "a\033[31m\xff\n.combo", false, 0},
        {sizeof tried[0], MARQ_LAYOUT_LINES, "", true, 40},
        {sizeof tried[0], MARQ_LAYOUT_TABLE, NULL, false, 0},
        {sizeof tried[0], MARQ_LAYOUT_TABLE, "hall", true, 9},
    };
    size_t i;

    for (i = 0; i < sizeof tried / sizeof tried[0]; i++) {
        marq_text *text = NULL;
        marq_status status = marq_render(&text, report, &tried[i]);
        char of[32];

        snprintf(of, sizeof of, "layout %d%s", (int)tried[i].layout,
                 tried[i].colour ? " in colour" : "");
        if (!text_holds(status, text, tried[i].colour, of, fault)) {
            return false;
        }
    }
    return true;
}

static bool print_holds(const source *s, const marq_combo *combo,
                        const marq_report *report, const char *of,
                        fuzz_fault *fault) {
    marq_print_opts assumed = {sizeof assumed, true};
    marq_text *text = NULL;
    marq_status status = marq_print(&text, combo, report, &assumed);
    size_t length = 0;
    const char *bytes = marq_text_bytes(text, &length);
    bool good = status == MARQ_OK
                    ? copy_holds(s, bytes, length, of, fault)
                    : broken(fault, "%s: %s", of, marq_status_text(status));

    marq_text_free(text);
    return good;
}

static bool prints(const source *s, const marq_combo *combo,
                   const marq_report *report, fuzz_fault *fault) {
    return print_holds(s, combo, NULL, "clean copy", fault) &&
           (report == NULL ||
            print_holds(s, combo, report, "clean copy with what is assumed",
                        fault));
}

/* ---- a report ---- */

static bool moments_hold(const source *s, const marq_report *report,
                         fuzz_fault *fault) {
    size_t count = marq_report_moment_count(report), i, k;

    for (i = 0; i < count; i++) {
        marq_moment m = marq_report_moment(report, i);
        const char *texts[] = {m.count, m.step,  m.weight,
                               m.feet,  m.level, m.facing};

        for (k = 0; k < sizeof texts / sizeof texts[0]; k++) {
            if (!words_hold(s, texts[k], true, "text", "moment", fault)) {
                return false;
            }
        }
        if (!span_holds(s, m.span, "moment", "a", fault)) {
            return false;
        }
    }
    return true;
}

static bool answers_hold(const marq_report *report, fuzz_fault *fault) {
    marq_readiness r = marq_report_readiness(report);
    marq_sum sum = marq_report_sum(report);
    marq_ready parts[] = {r.whole, r.position, r.front_foot, r.free_leg,
                          r.facing};
    size_t i;

    for (i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        if (parts[i] < MARQ_READY_YES || parts[i] > MARQ_READY_UNKNOWN) {
            return broken(fault, "an answer %d to ready", (int)parts[i]);
        }
    }
    if (r.whole == MARQ_READY_YES &&
        (r.position != MARQ_READY_YES || r.front_foot != MARQ_READY_YES ||
         r.free_leg != MARQ_READY_YES)) {
        return broken(fault, "ready as a whole, not in a part");
    }
    if (sum.phrase == 0 || sum.total.den <= 0 || sum.missing.den <= 0 ||
        sum.total.num < 0 || sum.missing.num < 0 ||
        sum.missing.num / sum.missing.den >= (int64_t)sum.phrase) {
        return broken(fault, "sum %lld/%lld, missing %lld/%lld of %u",
                      (long long)sum.total.num, (long long)sum.total.den,
                      (long long)sum.missing.num, (long long)sum.missing.den,
                      (unsigned)sum.phrase);
    }
    return true;
}

/* A limit is an answer, anything else but success is none. */
static bool followed(marq_status status, const char *of, fuzz_fault *fault) {
    return status == MARQ_OK || status == MARQ_LIMIT ||
           broken(fault, "%s: %s", of, marq_status_text(status));
}

static bool checks(const source *s, const marq_combo *combo,
                   fuzz_fault *fault) {
    marq_report *report = NULL;
    marq_status status = marq_check(&report, combo, NULL);
    bool good = followed(status, "check", fault);

    if (good && (status == MARQ_OK) != (report != NULL)) {
        good = broken(fault, "check: a report and its status differ");
    }
    if (good && report != NULL) {
        good = findings_hold(s, marq_report_findings(report), true, fault) &&
               moments_hold(s, report, fault) && answers_hold(report, fault) &&
               renders(report, fault);
    }
    good = good && prints(s, combo, report, fault);
    marq_report_free(report);
    return good;
}

/* ---- a combination ---- */

static bool places_hold(const source *s, const marq_combo *combo,
                        fuzz_fault *fault) {
    size_t step = s->length / 64 + 1, at;
    marq_place last = {1, 1};

    for (at = 0; at <= s->length + 1; at += step) {
        marq_place now = marq_combo_place(combo, at);

        if (now.line < last.line || now.column < 1 ||
            (now.line == last.line && now.column < last.column)) {
            return broken(fault, "byte %zu at %u:%u, an earlier one at %u:%u",
                          at, (unsigned)now.line, (unsigned)now.column,
                          (unsigned)last.line, (unsigned)last.column);
        }
        last = now;
    }
    return true;
}

/* What holds of every combination, ours or theirs. */
static bool combo_holds(const marq_combo *combo, fuzz_fault *fault) {
    size_t length = 0;
    const char *bytes = marq_combo_text(combo, &length);
    const marq_findings *findings = marq_combo_findings(combo);
    source s;
    marq_text *text = NULL;
    marq_status status;

    if (bytes == NULL || bytes[length] != '\0') {
        return broken(fault, "the text kept is not zero-terminated");
    }
    s = source_of(bytes, length);
    if (!findings_hold(&s, findings, false, fault) ||
        !places_hold(&s, combo, fault) || !checks(&s, combo, fault)) {
        return false;
    }
    status = marq_render_findings(&text, NULL, findings, bytes, length,
                                  "\xc2\x9b\177");
    return text_holds(status, text, false, "findings of reading", fault);
}

static bool turns(const source *s, const marq_combo *combo,
                  fuzz_fault *fault) {
    marq_combo *other = NULL;
    marq_status status = marq_other_side(&other, combo);
    bool good = followed(status, "other side", fault);

    if (good && (status == MARQ_OK) != (other != NULL)) {
        good = broken(fault, "other side: a text and its status differ");
    }
    if (good && other != NULL) {
        size_t length = 0;
        const char *bytes = marq_combo_text(other, &length);

        good = copy_holds(s, bytes, length, "other side", fault) &&
               combo_holds(other, fault);
    }
    marq_combo_free(other);
    return good;
}

bool fuzz_try_text(const marq_vocab *vocab, const uint8_t *bytes, size_t size,
                   fuzz_fault *fault) {
    marq_combo *combo = NULL;
    const char *kept;
    size_t length = 0;
    bool good;
    marq_status status;

    fault->why[0] = '\0';
    status = marq_combo_read(&combo, vocab, (const char *)bytes, size, NULL);
    if (status != MARQ_OK || combo == NULL) {
        return broken(fault, "read: %s", marq_status_text(status));
    }
    kept = marq_combo_text(combo, &length);
    if (length != size || (size > 0 && memcmp(kept, bytes, size) != 0)) {
        good = broken(fault, "the text kept is not the text given");
    } else {
        source s = source_of(kept, length);

        good = combo_holds(combo, fault) && turns(&s, combo, fault);
    }
    marq_combo_free(combo);
    return good;
}

/* ---- a vocabulary ---- */

marq_vocab *fuzz_vocab_open(void) {
    marq_config config;
    marq_vocab *vocab = NULL;

    marq_config_init(&config);
    config.limits.moves = 400;
    config.limits.corrections = 300;
    return marq_vocab_builtin(&vocab, &config) == MARQ_OK ? vocab : NULL;
}

static bool names_hold(const marq_vocab *vocab, fuzz_fault *fault) {
    const source plain = {"", 0, true};
    size_t terms = marq_vocab_term_count(vocab);
    size_t forms = marq_vocab_form_count(vocab), i;

    for (i = 0; i < terms; i++) {
        if (!words_hold(&plain, marq_vocab_term_name(vocab, i), false, "name",
                        "term", fault)) {
            return false;
        }
    }
    for (i = 0; i < forms; i++) {
        if (!words_hold(&plain, marq_vocab_form(vocab, i), false, "form",
                        "term", fault)) {
            return false;
        }
    }
    return (marq_vocab_term_name(vocab, terms) == NULL &&
            marq_vocab_form(vocab, forms) == NULL) ||
           broken(fault, "a name past the last");
}

/* A text with every kind of mark, then terms and forms of this vocabulary. */
static bool serves(const marq_vocab *vocab, fuzz_fault *fault) {
    char text[1200];
    size_t used = 0, terms = marq_vocab_term_count(vocab), i;
    size_t forms = marq_vocab_form_count(vocab);

    used += (size_t)snprintf(text, sizeof text,
                             "start fifth, right front, croisé\n"
                             "1-2 glissade, assemblé over x2\n"
                             "3& tendu RF, corner 3, in 4 counts\n");
    for (i = 0; i < 8 && used < sizeof text / 2; i++) {
        const char *name = marq_vocab_term_name(
            vocab, i < 4 ? terms - 1 - i : i * terms / 8);
        const char *form = marq_vocab_form(vocab, i * forms / 8);

        used += (size_t)snprintf(text + used, sizeof text - used,
                                 "%.60s %.60s, ", name != NULL ? name : "",
                                 form != NULL ? form : "");
    }
    return fuzz_try_text(vocab, (const uint8_t *)text, used, fault);
}

static bool loads(const marq_vocab *base, const uint8_t *bytes, size_t size,
                  fuzz_fault *fault) {
    marq_vocab_text text = {"\033hall", (const char *)bytes, size};
    marq_vocab *vocab = NULL;
    marq_findings *why = NULL;
    marq_text *lines = NULL;
    marq_config config;
    marq_status status;
    bool good;

    marq_config_init(&config);
    config.limits.moves = 400;
    config.limits.corrections = 300;
    status = marq_vocab_load(&vocab, &config, base, &text, 1, &why);
    if (status != MARQ_OK && status != MARQ_VOCABULARY &&
        status != MARQ_LIMIT) {
        good = broken(fault, "load: %s", marq_status_text(status));
    } else if ((status == MARQ_OK) != (vocab != NULL) ||
               (status == MARQ_VOCABULARY) != (why != NULL)) {
        good = broken(fault, "load: status %d, vocabulary %d, faults %d",
                      (int)status, vocab != NULL, why != NULL);
    } else if (why != NULL) {
        source s = source_of((const char *)bytes, size);

        status = marq_render_findings(&lines, NULL, why, (const char *)bytes,
                                      size, "hall.vocab");
        good = text_holds(status, lines, false, "faults", fault) &&
               findings_hold(&s, why, false, fault) &&
               (marq_finding_count(why) > 0 ||
                broken(fault, "faults, but none"));
    } else {
        good = vocab == NULL || (names_hold(vocab, fault) &&
                                 serves(vocab, fault));
    }
    marq_vocab_free(vocab);
    marq_findings_free(why);
    return good;
}

bool fuzz_try_vocab(const marq_vocab *base, const uint8_t *bytes, size_t size,
                    fuzz_fault *fault) {
    static const uint8_t none[1];

    fault->why[0] = '\0';
    bytes = size > 0 ? bytes : none;
    return loads(base, bytes, size, fault) && loads(NULL, bytes, size, fault);
}
