/* pattern.c - the one module that knows PCRE2. */
#include "pattern.h"

#define PCRE2_CODE_UNIT_WIDTH 8
#include <pcre2.h>

#define LONGEST_PATTERN ((size_t)4096)
#define GROUPS_MOST 31 /* of a pattern; numbered from 1 */
#define MATCH_LIMIT 100000
#define DEPTH_LIMIT 2000
#define HEAP_LIMIT 1024 /* kibibytes */

/* The rows of the pattern's table of names that carry one name. */
typedef struct part_rows {
    PCRE2_SPTR first; /* NULL: the pattern has no such name */
    PCRE2_SPTR last;
} part_rows;

struct marq_pattern {
    marq_mem mem; /* PCRE2 keeps a pointer to it */
    pcre2_code *code;
    size_t part_count;
    size_t row_size;
    part_rows parts[MARQ_PATTERN_PARTS];
    const uint8_t *begins; /* a bit for each byte a match may begin with;
                              inside code; NULL: not known */
    bool one;              /* it begins with one certain byte: */
    uint8_t first;
};

struct marq_scratch {
    marq_mem mem; /* PCRE2 keeps a pointer to it */
    pcre2_match_context *context;
    pcre2_match_data *data;
};

static void *take_memory(PCRE2_SIZE size, void *mem)
{
    return marq_mem_alloc(*(const marq_mem *)mem, size);
}

static void give_memory(void *ptr, void *mem)
{
    marq_mem_free(*(const marq_mem *)mem, ptr);
}

/* Our words for what PCRE2 refuses. */
static const char *fault_words(int error)
{
    switch (error) {
    case PCRE2_ERROR_END_BACKSLASH:
    case PCRE2_ERROR_END_BACKSLASH_C:
        return "a backslash stands at the end";
    case PCRE2_ERROR_UNKNOWN_ESCAPE:
    case PCRE2_ERROR_ESCAPE_INVALID_IN_CLASS:
    case PCRE2_ERROR_UNSUPPORTED_ESCAPE_SEQUENCE:
    case PCRE2_ERROR_BACKSLASH_C_CALLER_DISABLED:
        return "this letter has no meaning after a backslash";
    case PCRE2_ERROR_QUANTIFIER_OUT_OF_ORDER:
        return "the larger number stands before the smaller";
    case PCRE2_ERROR_QUANTIFIER_TOO_BIG:
        return "a number of repeats is too large";
    case PCRE2_ERROR_MISSING_SQUARE_BRACKET:
        return "a square bracket is opened and not closed";
    case PCRE2_ERROR_CLASS_RANGE_ORDER:
    case PCRE2_ERROR_CLASS_INVALID_RANGE:
        return "a range of letters runs backwards";
    case PCRE2_ERROR_QUANTIFIER_INVALID:
        return "nothing stands here that could be repeated";
    case PCRE2_ERROR_MISSING_CLOSING_PARENTHESIS:
        return "a round bracket is opened and not closed";
    case PCRE2_ERROR_UNMATCHED_CLOSING_PARENTHESIS:
        return "a round bracket is closed and not opened";
    case PCRE2_ERROR_PARENTHESES_NEST_TOO_DEEP:
        return "brackets stand too deep inside one another";
    case PCRE2_ERROR_INVALID_AFTER_PARENS_QUERY:
    case PCRE2_ERROR_UNRECOGNIZED_AFTER_QUERY_P:
        return "this has no meaning after (?";
    case PCRE2_ERROR_BAD_SUBPATTERN_REFERENCE:
    case PCRE2_ERROR_BAD_RELATIVE_REFERENCE:
        return "no part of the pattern has this name or number";
    case PCRE2_ERROR_MISSING_NAME_TERMINATOR:
    case PCRE2_ERROR_INVALID_SUBPATTERN_NAME:
    case PCRE2_ERROR_SUBPATTERN_NAME_EXPECTED:
    case PCRE2_ERROR_SUBPATTERN_NAME_TOO_LONG:
        return "the name of a part is not a name";
    case PCRE2_ERROR_DUPLICATE_SUBPATTERN_NAME:
    case PCRE2_ERROR_SUBPATTERN_NAMES_MISMATCH:
        return "two parts have the same name";
    case PCRE2_ERROR_LOOKBEHIND_NOT_FIXED_LENGTH:
        return "a look behind must have one length";
    case PCRE2_ERROR_PATTERN_STRING_TOO_LONG:
    case PCRE2_ERROR_PATTERN_TOO_LARGE:
    case PCRE2_ERROR_PATTERN_TOO_COMPLICATED:
        return "the pattern is too long";
    default:
        return "not a pattern";
    }
}

/* Finds the rows of each name the caller will ask for. */
static void find_parts(marq_pattern *pattern, const char *const *parts,
                       size_t part_count)
{
    size_t i;

    pattern->part_count =
        part_count < MARQ_PATTERN_PARTS ? part_count : MARQ_PATTERN_PARTS;
    for (i = 0; i < pattern->part_count; i++) {
        part_rows *rows = &pattern->parts[i];
        int size = pcre2_substring_nametable_scan(
            pattern->code, (PCRE2_SPTR)parts[i], &rows->first, &rows->last);

        if (size <= 0) {
            rows->first = NULL;
        } else {
            pattern->row_size = (size_t)size;
        }
    }
}

/* Learns with which bytes a match may begin. */
static void find_begins(marq_pattern *pattern)
{
    uint32_t type = 0, first = 0;

    (void)pcre2_pattern_info(pattern->code, PCRE2_INFO_FIRSTCODETYPE, &type);
    if (type == 1) {
        (void)pcre2_pattern_info(pattern->code, PCRE2_INFO_FIRSTCODEUNIT,
                                 &first);
        pattern->one = true;
        pattern->first = (uint8_t)first;
    } else if (type == 0) {
        (void)pcre2_pattern_info(pattern->code, PCRE2_INFO_FIRSTBITMAP,
                                 &pattern->begins);
    }
}

bool marq_pattern_may_begin(const marq_pattern *pattern, char byte)
{
    unsigned char c = (unsigned char)byte;

    if (pattern->one) { /* small or large letter: (?i) is not told */
        unsigned apart = (unsigned)c ^ (unsigned)pattern->first;
        unsigned letter = c | 0x20u;

        return apart == 0 || (apart == 0x20u && letter >= 'a' &&
                              letter <= 'z');
    }
    return pattern->begins == NULL ||
           ((unsigned)pattern->begins[c >> 3] >> (c & 7u) & 1u) != 0;
}

/* Compiles into pattern->code.  *error is PCRE2's number, 0 if compiled. */
static marq_status compile_code(marq_pattern *pattern, const char *text,
                                size_t length, int *error, size_t *fault_at)
{
    pcre2_general_context *general =
        pcre2_general_context_create(take_memory, give_memory, &pattern->mem);
    pcre2_compile_context *context = NULL;
    marq_status status = MARQ_MEMORY;
    PCRE2_SIZE at = 0;

    *error = 0;
    if (general == NULL) {
        goto out;
    }
    context = pcre2_compile_context_create(general);
    if (context == NULL) {
        goto out;
    }
    (void)pcre2_set_max_pattern_length(context, LONGEST_PATTERN);
    (void)pcre2_set_newline(context, PCRE2_NEWLINE_LF);
    (void)pcre2_set_bsr(context, PCRE2_BSR_UNICODE);
    /* Folded text is not checked again, so nothing may stop inside one of its
     * characters.  Anchored only when matching: a pattern compiled so does
     * not say what it begins with. */
    pattern->code = pcre2_compile(
        (PCRE2_SPTR)text, length,
        PCRE2_UTF | PCRE2_NEVER_BACKSLASH_C, error, &at,
        context);
    if (pattern->code != NULL) {
        *error = 0;
        status = MARQ_OK;
    } else if (*error != PCRE2_ERROR_HEAP_FAILED) {
        *fault_at = at < length ? at : length;
        status = MARQ_VOCABULARY;
    }
out:
    pcre2_compile_context_free(context);
    pcre2_general_context_free(general);
    return status;
}

marq_status marq_pattern_compile(marq_pattern **out, marq_mem mem,
                                 const char *text, size_t length,
                                 const char *const *parts, size_t part_count,
                                 size_t *fault_at, const char **fault_text)
{
    marq_pattern *pattern = marq_mem_alloc(mem, sizeof *pattern);
    const char *words = NULL;
    uint32_t groups = 0;
    size_t at = 0;
    int error;
    marq_status status;

    *out = NULL;
    if (pattern == NULL) {
        return MARQ_MEMORY;
    }
    memset(pattern, 0, sizeof *pattern);
    pattern->mem = mem;
    status = compile_code(pattern, text, length, &error, &at);
    if (status == MARQ_VOCABULARY) {
        words = fault_words(error);
    } else if (status == MARQ_OK) {
        (void)pcre2_pattern_info(pattern->code, PCRE2_INFO_CAPTURECOUNT,
                                 &groups);
        if (groups > GROUPS_MOST) {
            words = "the pattern has too many round brackets";
            status = MARQ_VOCABULARY;
        }
    }
    if (status == MARQ_OK) {
        find_parts(pattern, parts, part_count);
        find_begins(pattern);
        *out = pattern;
        return MARQ_OK;
    }
    marq_pattern_free(pattern);
    if (status == MARQ_VOCABULARY) {
        if (fault_at != NULL) {
            *fault_at = at;
        }
        if (fault_text != NULL) {
            *fault_text = words;
        }
    }
    return status;
}

void marq_pattern_free(marq_pattern *pattern)
{
    if (pattern != NULL) {
        pcre2_code_free(pattern->code);
        marq_mem_free(pattern->mem, pattern);
    }
}

marq_status marq_pattern_scratch_new(marq_scratch **out, marq_mem mem)
{
    marq_scratch *scratch = marq_mem_alloc(mem, sizeof *scratch);
    pcre2_general_context *general;

    *out = NULL;
    if (scratch == NULL) {
        return MARQ_MEMORY;
    }
    memset(scratch, 0, sizeof *scratch);
    scratch->mem = mem;
    general =
        pcre2_general_context_create(take_memory, give_memory, &scratch->mem);
    if (general != NULL) {
        scratch->context = pcre2_match_context_create(general);
        scratch->data = pcre2_match_data_create(GROUPS_MOST + 1, general);
        pcre2_general_context_free(general);
    }
    if (scratch->context == NULL || scratch->data == NULL) {
        marq_pattern_scratch_free(scratch);
        return MARQ_MEMORY;
    }
    (void)pcre2_set_match_limit(scratch->context, MATCH_LIMIT);
    (void)pcre2_set_depth_limit(scratch->context, DEPTH_LIMIT);
    (void)pcre2_set_heap_limit(scratch->context, HEAP_LIMIT);
    *out = scratch;
    return MARQ_OK;
}

void marq_pattern_scratch_free(marq_scratch *scratch)
{
    if (scratch != NULL) {
        pcre2_match_data_free(scratch->data);
        pcre2_match_context_free(scratch->context);
        marq_mem_free(scratch->mem, scratch);
    }
}

/* Where each part matched; of groups with one name the first that did. */
static void read_parts(const marq_pattern *pattern, marq_scratch *scratch,
                       size_t groups, marq_match *match)
{
    const PCRE2_SIZE *ends = pcre2_get_ovector_pointer(scratch->data);
    size_t i;

    match->to = ends[1];
    for (i = 0; i < pattern->part_count; i++) {
        PCRE2_SPTR row = pattern->parts[i].first;

        while (row != NULL) {
            size_t group = (size_t)row[0] << 8 | row[1];

            if (group < groups && ends[2 * group] != PCRE2_UNSET) {
                match->from_of[i] = ends[2 * group];
                match->to_of[i] = ends[2 * group + 1];
                break;
            }
            row = row == pattern->parts[i].last ? NULL
                                                : row + pattern->row_size;
        }
    }
}

marq_status marq_pattern_at(const marq_pattern *pattern, marq_scratch *scratch,
                            const char *bytes, size_t length, size_t at,
                            marq_match *match, bool *found)
{
    int result;

    *found = false;
    memset(match, 0, sizeof *match);
    if (at > length ||
        (at < length && ((unsigned char)bytes[at] & 0xc0) == 0x80)) {
        return MARQ_OK; /* nothing begins inside a character */
    }
    result = pcre2_match(pattern->code, (PCRE2_SPTR)bytes, length, at,
                         PCRE2_ANCHORED | PCRE2_NOTEMPTY | PCRE2_NO_UTF_CHECK,
                         scratch->data, scratch->context);
    if (result == PCRE2_ERROR_NOMEMORY) {
        return MARQ_MEMORY;
    }
    if (result > 0) {
        read_parts(pattern, scratch, (size_t)result, match);
        *found = true;
    }
    return MARQ_OK; /* a limit that was passed is "not found" */
}
