/* text.c - folding, decoding, showing. */
#include "text.h"

#include <utf8proc.h>

#define FAULT '\1' /* what stands in folded text for what is no text */
#define DECOMPOSED_MOST 32 /* code points of one; the longest has 18 */
#define SLACK 16 /* so that accented letters alone never need more room */

/* ---- UTF-8 ---- */

static bool is_inside(unsigned char c)
{
    return (c & 0xc0) == 0x80;
}

size_t marq_text_decode(const char *bytes, size_t length, uint32_t *code)
{
    static const uint32_t smallest[5] = {0, 0, 0x80, 0x800, 0x10000};
    unsigned char first;
    uint32_t value;
    size_t size;
    size_t i;

    if (length == 0) {
        return 0;
    }
    first = (unsigned char)bytes[0];
    if (first < 0x80) {
        size = 1;
        value = first;
    } else if (first >= 0xc2 && first < 0xe0) {
        size = 2;
        value = first & 0x1fu;
    } else if (first >= 0xe0 && first < 0xf0) {
        size = 3;
        value = first & 0x0fu;
    } else if (first >= 0xf0 && first < 0xf5) {
        size = 4;
        value = first & 0x07u;
    } else {
        return 0;
    }
    if (size > length) {
        return 0;
    }
    for (i = 1; i < size; i++) {
        if (!is_inside((unsigned char)bytes[i])) {
            return 0;
        }
        value = value << 6 | ((unsigned char)bytes[i] & 0x3fu);
    }
    /* Longer than need be, half of a pair, or past the last code point. */
    if (value < smallest[size] || (value >= 0xd800 && value < 0xe000) ||
        value > 0x10ffff) {
        return 0;
    }
    if (code != NULL) {
        *code = value;
    }
    return size;
}

static size_t encode_code(char *out, uint32_t code)
{
    return (size_t)utf8proc_encode_char((utf8proc_int32_t)code,
                                        (utf8proc_uint8_t *)out);
}

static utf8proc_category_t category_of(uint32_t code)
{
    return utf8proc_category((utf8proc_int32_t)code);
}

/* ---- folding ---- */

/* ASCII folded; 0 for what needs a closer look: controls and the carriage
 * return. */
static const char ascii_folded[128] = {
    0,   0,   0,   0,   0,   0,   0,   0,   0,   ' ', '\n', 0,   0,   0,   0,
    0,   0,   0,   0,   0,   0,   0,   0,   0,   0,   0,   0,   0,   0,   0,
    0,   0,   ' ', '!', '"', '#', '$', '%', '&', '\'', '(', ')', '*', '+', ',',
    '-', '.', '/', '0', '1', '2', '3', '4', '5', '6', '7', '8', '9', ':', ';',
    '<', '=', '>', '?', '@', 'a', 'b', 'c', 'd', 'e', 'f', 'g', 'h', 'i', 'j',
    'k', 'l', 'm', 'n', 'o', 'p', 'q', 'r', 's', 't', 'u', 'v', 'w', 'x', 'y',
    'z', '[', '\\', ']', '^', '_', '\'', 'a', 'b', 'c', 'd', 'e', 'f', 'g', 'h',
    'i', 'j', 'k', 'l', 'm', 'n', 'o', 'p', 'q', 'r', 's', 't', 'u', 'v', 'w',
    'x', 'y', 'z', '{', '|', '}', '~', 0};

/* What Unicode itself does not call the same, and writers do. */
static const char *spelled_out(uint32_t code)
{
    switch (code) {
    case 0x00c6: /* ligatures */
    case 0x00e6:
        return "ae";
    case 0x0152:
    case 0x0153:
        return "oe";
    case 0x00d7: /* crosses of multiplication */
    case 0x2715:
    case 0x2716:
    case 0x2a2f:
        return "x";
    case 0x0060: /* apostrophes, accents and primes in their place */
    case 0x00b4:
    case 0x02b9:
    case 0x02bb:
    case 0x02bc:
    case 0x02bd:
    case 0x2018:
    case 0x2019:
    case 0x201a:
    case 0x201b:
    case 0x2032:
        return "'";
    case 0x00ab: /* quotation marks */
    case 0x00bb:
    case 0x201c:
    case 0x201d:
    case 0x201e:
    case 0x201f:
        return "\"";
    case 0x2010: /* dashes */
    case 0x2011:
    case 0x2012:
    case 0x2013:
    case 0x2014:
    case 0x2015:
    case 0x2043:
    case 0x2212:
        return "-";
    case 0x00b7: /* bullets */
    case 0x2022:
    case 0x2023:
    case 0x25aa:
    case 0x25cf:
    case 0x25e6:
        return "*";
    case 0x2044: /* between the numbers of a fraction */
    case 0x2215:
        return "/";
    case 0x2192: /* arrows to the right */
    case 0x21d2:
    case 0x2794:
    case 0x279c:
    case 0x279e:
    case 0x27a1:
    case 0x27f6:
    case 0x27f9:
        return "->";
    default:
        return NULL;
    }
}

/* Folded text being written.  There is always room for the rest of the source
 * if each byte of it becomes one. */
typedef struct fold {
    marq_arena *arena;
    char *bytes;
    uint32_t *place; /* NULL if not wanted */
    size_t count;
    size_t room;
    size_t faults;
} fold;

/* Room for `more` bytes in all. */
static bool reserve_fold(fold *out, size_t more)
{
    size_t need;
    size_t room = out->room;
    char *bytes;
    uint32_t *place = NULL;

    if (!marq_add_size(&need, out->count, more)) {
        return false;
    }
    if (need <= room) {
        return true;
    }
    room = room > SIZE_MAX / 2 || need > 2 * room ? need : 2 * room;
    bytes = marq_arena_alloc(out->arena, room, 1);
    if (bytes == NULL) {
        return false;
    }
    if (out->place != NULL || out->room == 0) {
        place = marq_arena_alloc(out->arena, room, sizeof *place);
        if (place == NULL) {
            return false;
        }
    }
    if (out->count > 0) {
        memcpy(bytes, out->bytes, out->count);
        if (place != NULL) {
            memcpy(place, out->place, out->count * sizeof *place);
        }
    }
    out->bytes = bytes;
    out->place = place;
    out->room = room;
    return true;
}

static void put_byte(fold *out, char byte, size_t from)
{
    if (out->place != NULL) {
        out->place[out->count] = (uint32_t)from;
    }
    out->bytes[out->count++] = byte;
}

/* One code point of a decomposition. */
static void put_code(fold *out, uint32_t code, size_t from)
{
    const char *text = spelled_out(code);
    char bytes[4];
    size_t size;
    size_t i;

    if (code < 0x80) {
        bytes[0] = ascii_folded[code] == 0 ? FAULT : ascii_folded[code];
        put_byte(out, bytes[0], from);
        return;
    }
    if (text != NULL) {
        for (; *text != '\0'; text++) {
            put_byte(out, *text, from);
        }
        return;
    }
    switch (category_of(code)) {
    case UTF8PROC_CATEGORY_MN: /* accents, and what is not seen at all */
    case UTF8PROC_CATEGORY_ME:
    case UTF8PROC_CATEGORY_CF:
        return;
    case UTF8PROC_CATEGORY_ZS:
    case UTF8PROC_CATEGORY_ZL:
    case UTF8PROC_CATEGORY_ZP:
        put_byte(out, ' ', from);
        return;
    case UTF8PROC_CATEGORY_CC:
        put_byte(out, FAULT, from);
        out->faults++;
        return;
    default:
        break;
    }
    size = encode_code(bytes, code);
    for (i = 0; i < size; i++) {
        put_byte(out, bytes[i], from);
    }
}

/* A character beyond ASCII; `left` bytes of source follow it. */
static bool fold_code(fold *out, uint32_t code, size_t from, size_t left)
{
    utf8proc_int32_t parts[DECOMPOSED_MOST];
    const utf8proc_option_t how =
        UTF8PROC_COMPAT | UTF8PROC_DECOMPOSE | UTF8PROC_CASEFOLD |
        UTF8PROC_IGNORE;
    int boundary = 0;
    utf8proc_ssize_t count = 1;
    utf8proc_ssize_t i;
    bool fraction = false;

    parts[0] = (utf8proc_int32_t)code;
    if (spelled_out(code) == NULL) {
        count = utf8proc_decompose_char((utf8proc_int32_t)code, parts,
                                        DECOMPOSED_MOST, how, &boundary);
        if (MARQ_NEVER(count < 0 || count > DECOMPOSED_MOST)) {
            parts[0] = (utf8proc_int32_t)code;
            count = 1;
        }
    }
    if (!reserve_fold(out, (size_t)count * 4 + left + 2)) {
        return false;
    }
    for (i = 1; i < count; i++) {
        fraction = fraction || parts[i] == 0x2044;
    }
    if (fraction && out->count > 0 && out->bytes[out->count - 1] >= '0' &&
        out->bytes[out->count - 1] <= '9') {
        put_byte(out, ' ', from); /* one and a half is not eleven halves */
    }
    for (i = 0; i < count; i++) {
        put_code(out, (uint32_t)parts[i], from);
    }
    return true;
}

/* Folds the run of ordinary ASCII at byte i; returns where it ends. */
static size_t fold_ascii(fold *out, const char *bytes, size_t length, size_t i)
{
    char *to = out->bytes + out->count;
    uint32_t *place = out->place == NULL ? NULL : out->place + out->count;
    size_t from = i;

    while (i < length && (unsigned char)bytes[i] < 0x80) {
        char folded = ascii_folded[(unsigned char)bytes[i]];

        if (folded == 0) {
            break;
        }
        to[i - from] = folded;
        i++;
    }
    out->count += i - from;
    if (place != NULL) {
        size_t k;

        for (k = 0; k < i - from; k++) {
            place[k] = (uint32_t)(from + k);
        }
    }
    return i;
}

/* Folds all of the source.  False when memory ends. */
static bool fold_bytes(fold *out, const char *bytes, size_t length)
{
    size_t i = 0;

    while ((i = fold_ascii(out, bytes, length, i)) < length) {
        unsigned char c = (unsigned char)bytes[i];
        uint32_t code;
        size_t size;

        if (c == '\r') {
            if (i + 1 < length && bytes[i + 1] == '\n') {
                i++; /* the line feed stands for both */
            }
            put_byte(out, '\n', i);
            i++;
            continue;
        }
        size = marq_text_decode(bytes + i, length - i, &code);
        if (size == 0 || c < 0x80) { /* a control, or no text at all */
            put_byte(out, FAULT, i);
            out->faults++;
            i++;
            continue;
        }
        if (!fold_code(out, code, i, length - i - size)) {
            return false;
        }
        i += size;
    }
    out->bytes[out->count] = '\0';
    if (out->place != NULL) {
        out->place[out->count] = (uint32_t)length;
    }
    return true;
}

marq_status marq_text_fold(marq_folded *out, marq_arena *arena,
                           const char *bytes, size_t length, size_t *faults)
{
    fold made = {arena, NULL, NULL, 0, 0, 0};

    if (length > UINT32_MAX - 1) {
        return MARQ_LIMIT;
    }
    if (!reserve_fold(&made, length + 1 + SLACK) ||
        !fold_bytes(&made, bytes, length)) {
        return MARQ_MEMORY;
    }
    out->bytes = made.bytes;
    out->length = made.count;
    out->place = made.place;
    if (faults != NULL) {
        *faults = made.faults;
    }
    return MARQ_OK;
}

const char *marq_text_fold_string(marq_arena *arena, const char *bytes,
                                  size_t length)
{
    fold made = {arena, NULL, NULL, 0, 0, 0};

    if (!marq_add_size(&made.room, length, 1 + SLACK)) {
        return NULL;
    }
    made.bytes = marq_arena_alloc(arena, made.room, 1);
    if (made.bytes == NULL || !fold_bytes(&made, bytes, length)) {
        return NULL;
    }
    return made.bytes;
}

/* ---- showing ---- */

/* How the character at the beginning of some bytes is shown. */
typedef struct shown {
    size_t taken;    /* bytes of the source */
    size_t columns;
    char escape[12]; /* printed instead of them, if escape_length > 0 */
    size_t escape_length;
} shown;

static const char hex_digits[] = "0123456789abcdef";

/* \xHH */
static void show_byte(shown *out, unsigned char byte)
{
    out->escape[0] = '\\';
    out->escape[1] = 'x';
    out->escape[2] = hex_digits[byte >> 4];
    out->escape[3] = hex_digits[byte & 15];
    out->escape_length = 4;
    out->columns = 4;
    out->taken = 1;
}

/* \u{...} */
static void show_number(shown *out, uint32_t code)
{
    int shift = 20;
    size_t at = 0;

    while (shift > 0 && code >> shift == 0) {
        shift -= 4;
    }
    out->escape[at++] = '\\';
    out->escape[at++] = 'u';
    out->escape[at++] = '{';
    for (; shift >= 0; shift -= 4) {
        out->escape[at++] = hex_digits[code >> shift & 15];
    }
    out->escape[at++] = '}';
    out->escape_length = at;
    out->columns = at;
}

/* Does a code point leave a mark on a terminal, and nothing but that? */
static bool is_visible(uint32_t code)
{
    const utf8proc_property_t *property =
        utf8proc_get_property((utf8proc_int32_t)code);

    switch (category_of(code)) {
    case UTF8PROC_CATEGORY_CN:
    case UTF8PROC_CATEGORY_CC:
    case UTF8PROC_CATEGORY_CF:
    case UTF8PROC_CATEGORY_CS:
    case UTF8PROC_CATEGORY_ZL:
    case UTF8PROC_CATEGORY_ZP:
        return false;
    case UTF8PROC_CATEGORY_MN:
    case UTF8PROC_CATEGORY_MC:
    case UTF8PROC_CATEGORY_ME:
        return !property->ignorable; /* accents stand on what is before */
    default:
        return !property->ignorable && property->charwidth > 0;
    }
}

static void show_next(shown *out, const char *bytes, size_t length)
{
    unsigned char c = (unsigned char)bytes[0];
    uint32_t code;

    out->taken = 1;
    out->columns = 1;
    out->escape_length = 0;
    if (c >= 0x20 && c < 0x7f) {
        return;
    }
    if (c == '\t') {
        out->escape[0] = ' ';
        out->escape_length = 1;
        return;
    }
    out->taken = marq_text_decode(bytes, length, &code);
    if (out->taken == 0 || code < 0x80) {
        show_byte(out, c);
    } else if (is_visible(code)) {
        int width = utf8proc_charwidth((utf8proc_int32_t)code);

        out->columns = width > 0 ? (size_t)width : 0;
    } else {
        show_number(out, code);
    }
}

size_t marq_text_width(const char *bytes, size_t length)
{
    size_t columns = 0;
    size_t i = 0;
    shown next;

    while (i < length) {
        show_next(&next, bytes + i, length - i);
        columns += next.columns;
        i += next.taken;
    }
    return columns;
}

void marq_text_show(marq_build *out, const char *bytes, size_t length)
{
    size_t plain = 0; /* from here on nothing is written yet */
    size_t i = 0;
    shown next;

    while (i < length) {
        show_next(&next, bytes + i, length - i);
        if (next.escape_length > 0) {
            marq_build_bytes(out, bytes + plain, i - plain);
            marq_build_bytes(out, next.escape, next.escape_length);
            plain = i + next.taken;
        }
        i += next.taken;
    }
    if (plain < length) {
        marq_build_bytes(out, bytes + plain, length - plain);
    }
}
