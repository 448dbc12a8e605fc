#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "loaddesk.h"
#include "source.h"

const char loaddesk_small[] =
    "format 1\n"
    "price quiet link\n  value 1\n"
    "price closing link\n  value 2\n"
    "price side leg closed in front\n  value 3\n"
    "price opening link\n  value 4\n"
    "price start in fifth\n  value 5\n"
    "price start in first\n  value 6\n"
    "price start in a pose\n  value 7\n"
    "price start elsewhere\n  value 8\n"
    "price from one croisé to the other\n  value 9\n"
    "price bonus\n  value 10\n"
    "price edit form\n  value 11\n"
    "price edit put in\n  value 12\n"
    "price edit word\n  value 13\n"
    "price edit leave out\n  value 14\n"
    "pattern count\n  match (?<from>\\d+)\n"
    "pattern times\n  match x(?<n>\\d+)\n  match (?<n>\\d+)x\n"
    "qualifier dessus\n  means over\n  asks closes front\n"
    "  reverse dessous\n"
    "qualifier dessous\n  means under\n  asks closes back\n"
    "  reverse dessus\n"
    "qualifier changé\n  means the feet change\n  written changée\n"
    "facing audience\n  eighths 0\n  written the audience\n"
    "free ankle behind\n  place at the ankle behind\n"
    "number three\n  value 3\n"
    "filler the\n"
    "term glissade\n  id glissade\n  written gliss., glide\n"
    "  means a gliding step\n  family links\n  level elementary\n"
    "  side travel\n  source common practice\n"
    "  variant dessous: from fifth, front foot works, closes back, feet "
    "change; price 1; reverse dessus\n"
    "  variant dessus: from fifth, back foot works, closes front, feet "
    "change; price 0; reverse dessous\n"
    "term pas de chat\n  id pas-de-chat\n  means step of the cat\n"
    "  family small jumps\n  level beginner\n  side travel\n"
    "  source memory\n"
    "  variant -: from fifth, back foot works, closes where it began; price "
    "0\n";

marq_status loaddesk_load(loaddesk *d, const marq_vocab_data *base,
                             const char *text)
{
    marq_vocab_text one = {"probe", text, strlen(text)};
    return marq_load(&d->data, &d->arena, base, &one, 1, d->why);
}

void loaddesk_print(const loaddesk *d)
{
    for (size_t i = 0; i < d->why->list.count; i++) {
        const marq_finding *f = MARQ_AT(&d->why->list, marq_finding, i);
        print_message("unexpected: %s [%s]\n", f->headline, f->code);
    }
}

int loaddesk_open(void **state)
{
    loaddesk *d = test_calloc(1, sizeof *d);
    marq_arena_init(&d->arena, marq_mem_of(NULL));
    assert_int_equal(marq_findings_new(&d->why, marq_mem_of(NULL), 1000),
                     MARQ_OK);
    if (loaddesk_load(d, NULL, loaddesk_small) != MARQ_OK) {
        loaddesk_print(d);
        fail();
    }
    d->base = d->data;
    *state = d;
    return 0;
}

int loaddesk_close(void **state)
{
    loaddesk *d = *state;
    marq_findings_free(d->why);
    marq_arena_free(&d->arena);
    test_free(d);
    return 0;
}

/* "LINE:COLUMN CODE HEADLINE" a line, of what marq_load found. */
static const char *tell(loaddesk *d, const char *text)
{
    marq_build b;
    marq_source source;
    marq_build_init(&b, &d->arena);
    assert_int_equal(marq_source_init(&source, &d->arena, "probe", text,
                                      strlen(text)),
                     MARQ_OK);
    for (size_t i = 0; i < d->why->list.count; i++) {
        const marq_finding *f = MARQ_AT(&d->why->list, marq_finding, i);
        marq_place p = marq_source_place(&source, f->span.from);
        assert_string_equal(f->label, "probe");
        marq_build_number(&b, p.line);
        marq_build_char(&b, ':');
        marq_build_number(&b, p.column);
        marq_build_char(&b, ' ');
        marq_build_text(&b, f->code);
        marq_build_char(&b, ' ');
        marq_build_text(&b, f->headline);
        marq_build_char(&b, '\n');
    }
    return marq_build_done(&b, NULL);
}

/* `text`, laid on the small vocabulary, has exactly these faults, and
 * nothing is made. */
void loaddesk_expect(loaddesk *d, const marq_vocab_data *base,
                          const char *text, const char *faults)
{
    marq_vocab_data before = {.format = 77};
    d->data = before;
    d->why->list.count = 0;
    assert_int_equal(loaddesk_load(d, base, text), MARQ_VOCABULARY);
    assert_string_equal(tell(d, text), faults);
    assert_int_equal(d->data.format, 77);
    assert_null(d->data.strings);
}

const marq_term *loaddesk_term(const marq_vocab_data *data, const char *id)
{
    for (size_t i = 0; i < data->term_count; i++) {
        if (!strcmp(data->strings + data->terms[i].id, id)) {
            return &data->terms[i];
        }
    }
    return NULL;
}
