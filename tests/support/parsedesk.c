#include "parsedesk.h"

#include "vocabfiles.h"

/* Takes the one pattern that begins so out of the vocabulary. */
static bool leave_out(parsedesk *desk, const char *without)
{
    marq_notation_line *kept = marq_arena_alloc(
        &desk->arena, desk->data.notation_count, sizeof *kept);
    size_t count = 0;
    for (size_t i = 0; kept && i < desk->data.notation_count; i++) {
        const marq_notation_line *line = &desk->data.notations[i];
        if (strncmp(desk->data.strings + line->pattern, without,
                    strlen(without))) {
            kept[count++] = *line;
        }
    }
    if (!kept || count + 1 != desk->data.notation_count) {
        return false;
    }
    desk->data.notations = kept;
    desk->data.notation_count = count;
    return true;
}

parsedesk *parsedesk_new(const char *without)
{
    parsedesk *desk = calloc(1, sizeof *desk);
    marq_mem mem = marq_mem_of(NULL);
    marq_findings *why = NULL;
    vocabfiles files = {NULL, 0};
    bool ok;
    if (!desk) {
        return NULL;
    }
    marq_arena_init(&desk->arena, mem);
    marq_arena_init(&desk->work, mem);
    ok = marq_findings_new(&why, mem, 100) == MARQ_OK &&
         vocabfiles_read(&files) &&
         marq_load(&desk->data, &desk->arena, NULL, files.texts, files.count,
                   why) == MARQ_OK &&
         (!without || leave_out(desk, without)) &&
         marq_vocab_wrap(&desk->vocab, NULL, &desk->data) == MARQ_OK;
    marq_findings_free(why);
    vocabfiles_free(&files);
    if (!ok) {
        parsedesk_free(desk);
        return NULL;
    }
    return desk;
}

void parsedesk_free(parsedesk *desk)
{
    if (desk) {
        marq_vocab_release(desk->vocab);
        marq_arena_free(&desk->work);
        marq_arena_free(&desk->arena);
        free(desk);
    }
}

marq_status parsedesk_read(parsedesk *desk, const char *text, size_t length)
{
    marq_status s;
    marq_arena_free(&desk->work);
    marq_findings_init(&desk->findings, &desk->work, 10000);
    s = marq_source_init(&desk->source, &desk->work, NULL, text, length);
    if (s == MARQ_OK) {
        s = marq_parse(&desk->tree, &desk->work, desk->vocab, &desk->source,
                       &desk->findings);
    }
    return s;
}

/* ---- the line ---- */

static void put(marq_build *out, const char *text)
{
    marq_build_text(out, text);
}

static void put_source(marq_build *out, const parsedesk *desk, marq_span span)
{
    marq_build_bytes(out, desk->source.bytes + span.from,
                     span.to - span.from);
}

static void put_count(marq_build *out, marq_count c)
{
    marq_build_number(out, c.num);
    if (c.den != 1) {
        put(out, "/");
        marq_build_number(out, c.den);
    }
}

static void put_joined(marq_build *out, const char *words)
{
    for (; *words; words++) {
        marq_build_char(out, *words == ' ' ? '_' : *words);
    }
}

static void put_body(marq_build *out, marq_body b)
{
    if (marq_body_is_two(b)) {
        put(out, marq_position_name(marq_body_position(b)));
        if (marq_body_front(b) != MARQ_SIDE_NONE) {
            put(out, ".");
            put(out, marq_side_words(marq_body_front(b)));
        }
    } else {
        put(out, marq_side_words(marq_body_standing(b)));
        put(out, ":");
        put_joined(out, marq_shape_words(marq_body_shape(b)));
        put(out, "_");
        put(out, marq_where_words(marq_body_where(b)));
    }
}

static void put_stand(marq_build *out, const marq_stand *stand)
{
    size_t bodies = 0;
    const char *gap = "";
    put(out, "{");
    if (stand->assumed) {
        put(out, "~");
    }
    for (unsigned b = 0; stand->has_bodies && b < MARQ_BODIES; b++) {
        bodies += stand->bodies[b];
    }
    if (bodies > 6) {
        put(out, "#");
        marq_build_number(out, (int64_t)bodies);
        gap = " ";
    }
    for (unsigned b = 0; b < MARQ_BODIES && bodies <= 6 && bodies > 0; b++) {
        if (stand->bodies[b]) {
            put(out, gap);
            put_body(out, (marq_body)b);
            gap = " ";
        }
    }
    for (unsigned f = 0; f < MARQ_FACINGS; f++) {
        if (stand->facings != MARQ_ANY_FACING && (stand->facings >> f & 1u)) {
            put(out, gap);
            put(out, "@");
            put_joined(out, marq_facing_words((marq_facing)f));
            gap = " ";
        }
    }
    for (unsigned a = 0; a < MARQ_ALIGNMENTS; a++) {
        if (stand->alignments >> a & 1u) {
            put(out, gap);
            put(out, "@");
            put_joined(out, marq_alignment_words((marq_alignment)a));
            gap = " ";
        }
    }
    if (stand->numbered) {
        put(out, gap);
        put(out, "@");
        marq_build_number(out, stand->numbered);
    }
    put(out, "}");
}

static void put_mark(marq_build *out, const parsedesk *desk,
                     const marq_mark *mark)
{
    static const char *const names[MARQ_MARKS] = {
        "q:",    "foot:",    "on:",   "side:", "toward:", "from:",
        "to:",   "in:",      "free:", "front:", "closing:", "face:",
        "num:",  "align:",   "amt:",  "len:",  "rem(",
    };
    static const char *const feet[] = {"",     "right", "left",     "front",
                                       "back", "free",  "standing", "working",
                                       "same", "other", "inside",   "outside"};
    const marq_vocab_data *d = &desk->data;
    put(out, mark->assumed ? " ~" : " ");
    put(out, names[mark->kind]);
    switch ((marq_mark_kind)mark->kind) {
    case MARQ_MARK_QUALIFIER:
        put_joined(out, d->strings + d->qualifiers[mark->value].name);
        break;
    case MARQ_MARK_FOOT:
    case MARQ_MARK_ON:
    case MARQ_MARK_SIDE:
    case MARQ_MARK_TOWARD:
    case MARQ_MARK_FRONT:
        put(out, feet[mark->value]);
        break;
    case MARQ_MARK_FROM:
    case MARQ_MARK_TO:
    case MARQ_MARK_IN:
        put(out, marq_position_name((marq_position)mark->value));
        break;
    case MARQ_MARK_TO_FREE:
        put_joined(out, d->strings + d->free_words[mark->value].name);
        break;
    case MARQ_MARK_CLOSING:
        put(out, marq_where_words((marq_where)mark->value));
        break;
    case MARQ_MARK_FACING:
        put_joined(out, marq_facing_words((marq_facing)mark->value));
        break;
    case MARQ_MARK_ALIGNMENT:
        put_joined(out, marq_alignment_words((marq_alignment)mark->value));
        break;
    case MARQ_MARK_NUMBERED:
    case MARQ_MARK_AMOUNT:
    case MARQ_MARK_LENGTH:
        marq_build_number(out, mark->value);
        break;
    case MARQ_MARK_REMARK:
        put_source(out, desk, mark->span);
        put(out, ")");
        break;
    case MARQ_MARKS:
        break;
    }
}

static void put_item(marq_build *out, const parsedesk *desk,
                     const marq_item *item)
{
    static const char *const operators[] = {
        "", "repeat", "other", "reverse", "one-side", "unsquare", "en-croix",
        "alternate"};
    const marq_vocab_data *d = &desk->data;
    if (item->times != 1 && item->times_before) {
        marq_build_number(out, item->times);
        put(out, "*");
    }
    switch ((marq_item_kind)item->kind) {
    case MARQ_ITEM_STEP:
        put(out, d->strings + d->terms[item->term].id);
        break;
    case MARQ_ITEM_UNKNOWN:
        put(out, "?");
        put_source(out, desk, item->word);
        break;
    case MARQ_ITEM_STAND:
    case MARQ_ITEM_FACE:
        put(out, item->kind == MARQ_ITEM_FACE ? "@" : "now");
        put_stand(out, MARQ_AT(&desk->tree.stands, marq_stand, item->stand));
        break;
    case MARQ_ITEM_OPERATOR:
        put(out, "!");
        put(out, operators[item->operator_]);
        break;
    case MARQ_ITEM_HOLE:
        put(out, "...");
        break;
    case MARQ_ITEM_REMARK:
        put(out, "(");
        put_source(out, desk, item->span);
        put(out, ")");
        break;
    }
    for (uint32_t i = 0; i < item->mark_count; i++) {
        put_mark(out, desk, MARQ_AT(&desk->tree.marks, marq_mark,
                                    item->first_mark + i));
    }
    if (item->times != 1 && !item->times_before) {
        put(out, " x");
        marq_build_number(out, item->times);
    }
}

static void put_line(marq_build *out, const parsedesk *desk,
                     const marq_line *line)
{
    if (line->has_counts) {
        put_count(out, line->count_from);
        if (marq_count_compare(line->count_from, line->count_to) != 0) {
            put(out, "-");
            put_count(out, line->count_to);
        }
        put(out, line->count_half ? "&: " : ": ");
    }
    if (line->side) {
        put(out, line->side == MARQ_SIDE_RIGHT ? "<right> " : "<left> ");
    }
    for (uint32_t i = 0; i < line->item_count; i++) {
        put(out, i ? ", " : "");
        put_item(out, desk, MARQ_AT(&desk->tree.items, marq_item,
                                    line->first_item + i));
    }
}

const char *parsedesk_line(parsedesk *desk)
{
    static const char *const headings[] = {
        "", "title", "level", "music", "start", "finish", "", "", "remark"};
    const marq_tree *tree = &desk->tree;
    const char *gap = "";
    marq_build out;
    marq_build_init(&out, &desk->work);
    for (size_t i = 0; i < tree->headings.count; i++) {
        const marq_heading_line *h =
            MARQ_AT(&tree->headings, marq_heading_line, i);
        put(&out, gap);
        put(&out, headings[h->heading]);
        put(&out, "(");
        put_source(&out, desk, h->value);
        put(&out, ")");
        gap = " ";
    }
    if (tree->start.written) {
        put(&out, gap);
        put(&out, "start");
        put_stand(&out, &tree->start);
        gap = " ";
    }
    for (size_t i = 0; i < tree->lines.count; i++) {
        const marq_line *line = MARQ_AT(&tree->lines, marq_line, i);
        put(&out, i == 0 ? gap : line->phrase_break ? " // " : " / ");
        put_line(&out, desk, line);
        gap = " ";
    }
    if (tree->finish.written) {
        put(&out, gap);
        put(&out, "finish");
        put_stand(&out, &tree->finish);
    }
    return marq_build_done(&out, NULL);
}

const char *parsedesk_codes(parsedesk *desk)
{
    marq_build out;
    marq_findings_sort(&desk->findings);
    marq_build_init(&out, &desk->work);
    for (size_t i = 0; i < desk->findings.list.count; i++) {
        put(&out, i ? " " : "");
        put(&out, MARQ_AT(&desk->findings.list, marq_finding, i)->code);
    }
    return marq_build_done(&out, NULL);
}
