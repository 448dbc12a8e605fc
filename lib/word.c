#include "word.h"

bool marq_form_is(const marq_vocab_data *data, const marq_form *form,
                  marq_role role, uint16_t *id)
{
    const marq_sense *sense = data->senses + form->first_sense;
    for (size_t i = 0; i < form->sense_count; i++) {
        if (sense[i].role == role) {
            if (id) {
                *id = sense[i].id;
            }
            return true;
        }
    }
    return false;
}

const marq_form *marq_word_longest(const marq_vocab_data *data,
                                   const marq_folded *text,
                                   const marq_word *words, size_t count,
                                   size_t i, size_t *used)
{
    char key[MARQ_FORM_BYTES_MOST];
    size_t length = 0;
    uint32_t hash = MARQ_HASH_START;
    const marq_form *best = NULL;
    for (size_t n = 0; i + n < count && n < data->longest_form; n++) {
        const marq_word *word = &words[i + n];
        size_t start = length, more;
        if (n > 0) {
            if (word->before != MARQ_GAP_SPACE &&
                word->before != MARQ_GAP_HYPHEN) {
                break;
            }
            if (length == sizeof key) {
                break;
            }
            key[length++] = ' ';
        }
        if (!marq_form_key_into(key + length, sizeof key - length,
                                text->bytes + word->from,
                                word->to - word->from, &more) ||
            more == 0) {
            break;
        }
        length += more;
        hash = marq_form_hash_more(hash, key + start, length - start);
        const marq_form *form =
            marq_form_find_hashed(data, hash, key, length);
        if (form) {
            best = form;
            *used = n + 1;
        }
    }
    return best;
}

/* ---- near misses ---- */
#define LETTERS_MOST 40
#define COST_LETTER 10u /* a letter more, less or other */
#define COST_SWAP 5u    /* two neighbours exchanged */
#define COST_DOUBLE 4u  /* a doubled letter single, or the reverse */
#define COST_SILENT 4u  /* a final e or s more or less */

/* Cost of leaving out letter i of a word. */
static unsigned drop_cost(const char *word, size_t length, size_t i)
{
    if (i > 0 && word[i] == word[i - 1]) {
        return COST_DOUBLE;
    }
    if (i + 1 == length && (word[i] == 'e' || word[i] == 's')) {
        return COST_SILENT;
    }
    return COST_LETTER;
}

static unsigned least(unsigned a, unsigned b)
{
    return a < b ? a : b;
}

/* Weighted distance of two words, or something above `most` as soon as that
 * is certain. */
static unsigned letter_distance(const char *a, size_t a_length, const char *b,
                                size_t b_length, unsigned most)
{
    unsigned rows[3][LETTERS_MOST + 1];
    unsigned *before = rows[0], *last = rows[1], *row = rows[2];
    last[0] = 0;
    for (size_t j = 0; j < b_length; j++) {
        last[j + 1] = last[j] + drop_cost(b, b_length, j);
    }
    unsigned lowest_last = 0;
    for (size_t i = 0; i < a_length; i++) {
        unsigned drop = drop_cost(a, a_length, i), lowest;
        row[0] = last[0] + drop;
        lowest = row[0];
        for (size_t j = 0; j < b_length; j++) {
            unsigned cost = last[j] + (a[i] == b[j] ? 0 : COST_LETTER);
            cost = least(cost, last[j + 1] + drop);
            cost = least(cost, row[j] + drop_cost(b, b_length, j));
            if (i > 0 && j > 0 && a[i] == b[j - 1] && a[i - 1] == b[j] &&
                a[i] != b[j]) {
                cost = least(cost, before[j - 1] + COST_SWAP);
            }
            row[j + 1] = cost;
            lowest = least(lowest, cost);
        }
        /* A swap reaches back two rows. */
        if (lowest > most && lowest_last > most) {
            return most + 1;
        }
        lowest_last = lowest;
        unsigned *free_row = before;
        before = last;
        last = row;
        row = free_row;
    }
    return last[b_length];
}

static unsigned count_bits(uint32_t x)
{
    x -= x >> 1 & UINT32_C(0x55555555);
    x = (x & UINT32_C(0x33333333)) + (x >> 2 & UINT32_C(0x33333333));
    x = (x + (x >> 4)) & UINT32_C(0x0f0f0f0f);
    return (unsigned)(x * UINT32_C(0x01010101) >> 24);
}

/* No two words with these sets of letters are nearer than this: every letter
 * only one of them has must go, for at least the price of a silent ending
 * once and of a whole letter else. */
static unsigned letters_bound(uint32_t a, uint32_t b)
{
    unsigned lost = count_bits(a & ~b), won = count_bits(b & ~a);
    unsigned n = lost > won ? lost : won;
    return n ? (n - 1) * COST_LETTER + COST_SILENT : 0;
}

/* Puts a form into the sorted list; the same meaning only once. */
static void keep_near(const marq_vocab_data *data, marq_near *out,
                      size_t *count, size_t most, marq_near found,
                      marq_sense sense, marq_role role)
{
    for (size_t i = 0; i < *count; i++) {
        uint16_t id = 0;
        marq_role own = role == MARQ_ROLES ? (marq_role)sense.role : role;
        if (marq_form_is(data, out[i].form, own, &id) && id == sense.id) {
            if (out[i].distance <= found.distance) {
                return;
            }
            memmove(&out[i], &out[i + 1], (*count - i - 1) * sizeof *out);
            (*count)--;
            break;
        }
    }
    size_t at = *count;
    while (at > 0 && out[at - 1].distance > found.distance) {
        at--;
    }
    if (at == most) {
        return;
    }
    if (*count < most) {
        (*count)++;
    }
    memmove(&out[at + 1], &out[at], (*count - at - 1) * sizeof *out);
    out[at] = found;
}

size_t marq_word_near(const marq_vocab_data *data, marq_role role,
                      const char *word, size_t length, marq_near *out,
                      size_t most)
{
    char key[LETTERS_MOST];
    size_t key_length, count = 0;
    if (most == 0 ||
        !marq_form_key_into(key, sizeof key, word, length, &key_length) ||
        key_length == 0) {
        return 0;
    }
    uint32_t letters = marq_form_letters(key, key_length);
    unsigned limit = (unsigned)key_length * 10u / 3u;
    for (size_t i = 0; i < data->form_count; i++) {
        const marq_form *form = &data->forms[i];
        unsigned bound = count < most ? limit
                                      : least(limit, out[most - 1].distance);
        if (letters_bound(letters, form->letters) > bound) {
            continue;
        }
        marq_sense sense = data->senses[form->first_sense];
        if (role != MARQ_ROLES && !marq_form_is(data, form, role, &sense.id)) {
            continue;
        }
        const char *text = data->strings + form->text;
        size_t text_length = strlen(text);
        if (text_length > LETTERS_MOST) {
            continue;
        }
        unsigned distance =
            letter_distance(key, key_length, text, text_length, bound);
        if (distance <= bound) {
            keep_near(data, out, &count, most,
                      (marq_near){form, distance}, sense, role);
        }
    }
    return count;
}
