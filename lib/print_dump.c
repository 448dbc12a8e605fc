/* print_dump.c - a tree as plain rows, for tests. */
#include "print.h"

static void dump_count(marq_build *out, marq_count c)
{
    marq_build_number(out, c.num);
    if (c.den != 1) {
        marq_build_char(out, '/');
        marq_build_number(out, c.den);
    }
}

static void dump_counts(marq_build *out, bool has, marq_count from,
                        marq_count to)
{
    if (has) {
        marq_build_char(out, ' ');
        dump_count(out, from);
        marq_build_text(out, "..");
        dump_count(out, to);
    }
}

static void dump_span(marq_build *out, const marq_tree *tree, marq_span span)
{
    marq_build_text(out, " \"");
    for (size_t i = span.from;
         tree->source && i < span.to && i < tree->source->length; i++) {
        char c = tree->source->bytes[i];
        marq_build_char(out, c == '\n' || c == '\r' ? ' ' : c);
    }
    marq_build_char(out, '"');
}

static void dump_stand(marq_build *out, const marq_stand *stand)
{
    for (unsigned b = 0; stand->has_bodies && b < MARQ_BODIES; b++) {
        if (stand->bodies[b]) {
            marq_build_text(out, " [");
            marq_body_words(out, (marq_body)b);
            marq_build_char(out, ']');
        }
    }
    for (unsigned f = 0; f < MARQ_FACINGS; f++) {
        if (stand->facings != MARQ_ANY_FACING &&
            (((unsigned)stand->facings >> f) & 1u)) {
            marq_build_text(out, " facing ");
            marq_build_text(out, marq_facing_words((marq_facing)f));
        }
    }
    for (unsigned a = 0; a < MARQ_ALIGNMENTS; a++) {
        if (((unsigned)stand->alignments >> a) & 1u) {
            marq_build_char(out, ' ');
            marq_build_text(out, marq_alignment_words((marq_alignment)a));
        }
    }
    if (stand->numbered) {
        marq_build_text(out, " number ");
        marq_build_number(out, stand->numbered);
    }
    marq_build_text(out, stand->assumed ? " assumed" : "");
}

static void dump_marks(marq_build *out, const marq_vocab *vocab,
                       const marq_tree *tree, const marq_item *item)
{
    static const char *const kinds[MARQ_MARKS] = {
        "qualifier", "foot",   "on",       "side",      "toward", "from",
        "to",        "in",     "to-free",  "front",     "closing", "facing",
        "numbered",  "alignment", "amount", "length",   "remark",
    };
    for (uint32_t i = 0; i < item->mark_count; i++) {
        const marq_mark *mark =
            MARQ_AT(&tree->marks, marq_mark, item->first_mark + i);
        marq_build_text(out, mark->assumed ? " ~" : " ");
        marq_build_text(out, mark->kind < MARQ_MARKS ? kinds[mark->kind]
                                                     : "?");
        if (mark->kind == MARQ_MARK_REMARK) {
            dump_span(out, tree, mark->span);
            continue;
        }
        marq_build_char(out, '=');
        if (mark->kind == MARQ_MARK_QUALIFIER &&
            mark->value < vocab->data->qualifier_count) {
            marq_build_text(
                out, marq_string(vocab,
                                 vocab->data->qualifiers[mark->value].name));
        } else {
            marq_build_number(out, mark->value);
        }
    }
}

static void dump_item(marq_build *out, const marq_vocab *vocab,
                      const marq_tree *tree, const marq_item *item)
{
    static const char *const kinds[] = {
        "step", "unknown", "stand", "face", "operator", "hole", "remark",
    };
    marq_build_text(out, "  ");
    marq_build_text(out, item->kind <= MARQ_ITEM_REMARK ? kinds[item->kind]
                                                        : "?");
    dump_counts(out, item->has_counts, item->count_from, item->count_to);
    switch (item->kind) {
    case MARQ_ITEM_STEP:
        if (item->term < vocab->data->term_count) {
            marq_build_char(out, ' ');
            marq_build_text(
                out,
                marq_string(vocab, vocab->data->terms[item->term].id));
        }
        break;
    case MARQ_ITEM_UNKNOWN:
        dump_span(out, tree, item->word);
        break;
    case MARQ_ITEM_REMARK:
        dump_span(out, tree, item->span);
        break;
    case MARQ_ITEM_STAND:
    case MARQ_ITEM_FACE:
        dump_stand(out, MARQ_AT(&tree->stands, marq_stand, item->stand));
        break;
    case MARQ_ITEM_OPERATOR:
        marq_build_char(out, ' ');
        marq_build_number(out, item->operator_);
        break;
    default:
        break;
    }
    if (item->times != 1) {
        marq_build_text(out, " times=");
        marq_build_number(out, item->times);
    }
    dump_marks(out, vocab, tree, item);
    marq_build_char(out, '\n');
}

void marq_print_dump(marq_build *out, const marq_vocab *vocab,
                     const marq_tree *tree)
{
    for (size_t i = 0; i < tree->headings.count; i++) {
        const marq_heading_line *h =
            MARQ_AT(&tree->headings, marq_heading_line, i);
        marq_build_text(out, "heading ");
        marq_build_number(out, h->heading);
        dump_span(out, tree, h->value);
        marq_build_char(out, '\n');
    }
    if (tree->start.written) {
        marq_build_text(out, "start");
        dump_stand(out, &tree->start);
        marq_build_char(out, '\n');
    }
    for (size_t i = 0; i < tree->lines.count; i++) {
        const marq_line *line = MARQ_AT(&tree->lines, marq_line, i);
        marq_build_text(out, line->phrase_break ? "phrase line" : "line");
        dump_counts(out, line->has_counts, line->count_from, line->count_to);
        if (line->has_counts && line->count_half) {
            marq_build_text(out, " half");
        }
        if (line->side != MARQ_SIDE_NONE) {
            marq_build_char(out, ' ');
            marq_build_text(out, marq_side_words((marq_side)line->side));
        }
        marq_build_char(out, '\n');
        for (uint32_t j = 0; j < line->item_count; j++) {
            dump_item(out, vocab, tree,
                      MARQ_AT(&tree->items, marq_item, line->first_item + j));
        }
    }
    if (tree->finish.written) {
        marq_build_text(out, "finish");
        dump_stand(out, &tree->finish);
        marq_build_char(out, '\n');
    }
    marq_build_text(out, tree->one_side ? "one side\n" : "");
    marq_build_text(out, tree->unsquare ? "unsquare\n" : "");
}
