#include "print.h"

#include "print_words.h"

#define COLUMN 9 /* where values of headings and items of counted lines begin  \
                  */

typedef struct printer {
    marq_build *out;
    const marq_vocab *vocab;
    const marq_tree *tree;
    const marq_print_plan *plan;
    size_t next_assumed; /* in plan->assumed */
    size_t line_start;   /* bytes built before this line */
    marq_arena scratch;  /* for looking forms up */
} printer;

static const marq_print_plan no_plan;

/* ---- columns ---- */

static void end_line(printer *p)
{
    marq_build_char(p->out, '\n');
    p->line_start = p->out->bytes.count;
}

/* Blanks up to the column, at least two after text: by them a number is
 * known for a count. */
static void pad_column(printer *p)
{
    size_t used = p->out->bytes.count - p->line_start; /* ascii so far */
    size_t least = used > 0 ? used + 2 : COLUMN;
    for (; used < COLUMN || used < least; used++) {
        marq_build_char(p->out, ' ');
    }
}

/* ---- counts ---- */

static void print_count(marq_build *out, marq_count c, bool first)
{
    int64_t number = c.den > 0 ? c.num / c.den : 0;
    if (c.den != 2) {
        marq_build_number(out, number);
        return;
    }
    /* The half before 8 is "&8" where it begins, "7&" where it ends. */
    if (first) {
        marq_build_char(out, '&');
        marq_build_number(out, number + 1);
    } else {
        marq_build_number(out, number);
        marq_build_char(out, '&');
    }
}

static void print_counts(marq_build *out, marq_count from, marq_count to)
{
    if (from.den == 2 && marq_count_compare(from, to) == 0) {
        print_count(out, from, true);
        return;
    }
    if (from.den == 1 && to.den == 2 && to.num / 2 == from.num) {
        print_count(out, to, false);
        return;
    }
    print_count(out, from, true);
    if (marq_count_compare(from, to) != 0) {
        marq_build_char(out, '-');
        print_count(out, to, false);
    }
}

/* ---- marks ---- */

/* The order of docs/notation.md. */
static const uint8_t mark_order[] = {
    MARQ_MARK_QUALIFIER, MARQ_MARK_FOOT,     MARQ_MARK_ON,
    MARQ_MARK_SIDE,      MARQ_MARK_TOWARD,   MARQ_MARK_FROM,
    MARQ_MARK_IN,        MARQ_MARK_TO,       MARQ_MARK_TO_FREE,
    MARQ_MARK_FRONT,     MARQ_MARK_CLOSING,  MARQ_MARK_AMOUNT,
    MARQ_MARK_FACING,    MARQ_MARK_NUMBERED, MARQ_MARK_ALIGNMENT,
    MARQ_MARK_LENGTH,
};

/* Unknown words are written as they stand, with what is between them. */
static bool is_inside_word(const marq_item *item, const marq_mark *mark)
{
    return item->kind == MARQ_ITEM_UNKNOWN && mark->span.from < mark->span.to &&
           mark->span.from >= item->word.from && mark->span.to <= item->word.to;
}

static void gather_mark(printer *p, marq_array *list, marq_mark mark)
{
    marq_mark *added = marq_array_add(list);
    if (added == NULL) {
        p->out->failed = true;
        return;
    }
    *added = mark;
}

/* The marks of an item but remarks, in the order they are written in, with
 * what the plan assumes of it. */
static void gather_marks(printer *p, marq_array *list, size_t index,
                         const marq_item *item)
{
    const marq_mark *marks =
        item->mark_count == 0
            ? NULL
            : MARQ_AT(&p->tree->marks, marq_mark, item->first_mark);
    const marq_assumed *assumed = p->plan->assumed;
    size_t first = p->next_assumed;
    while (p->next_assumed < p->plan->assumed_count &&
           assumed[p->next_assumed].item <= index) {
        p->next_assumed++;
    }
    while (first < p->next_assumed && assumed[first].item < index) {
        first++;
    }
    for (size_t k = 0; k < sizeof mark_order; k++) {
        for (uint32_t i = 0; i < item->mark_count; i++) {
            if (marks[i].kind == mark_order[k] &&
                !is_inside_word(item, &marks[i])) {
                gather_mark(p, list, marks[i]);
            }
        }
        for (size_t i = first; i < p->next_assumed; i++) {
            if (assumed[i].kind == mark_order[k]) {
                marq_mark mark = {
                    assumed[i].kind, true, assumed[i].value, {0, 0}};
                gather_mark(p, list, mark);
            }
        }
    }
}

static void print_mark(printer *p, const marq_mark *mark, unsigned term)
{
    if (mark->assumed) {
        marq_build_char(p->out, '~');
    }
    marq_print_mark_words(p->out, p->vocab, p->tree, mark, term);
}

static void print_times_and_remarks(printer *p, const marq_item *item)
{
    if (item->times > 1) {
        marq_build_text(p->out, " ×");
        marq_build_number(p->out, item->times);
    }
    /* Beside a word nobody knows a bracket would make it talk, beside a
       place it would be a remark on the whole text. */
    bool apart =
        item->kind == MARQ_ITEM_UNKNOWN || item->kind == MARQ_ITEM_STAND;
    for (uint32_t i = 0; i < item->mark_count; i++) {
        const marq_mark *mark =
            MARQ_AT(&p->tree->marks, marq_mark, item->first_mark + i);
        if (mark->kind == MARQ_MARK_REMARK && !is_inside_word(item, mark)) {
            marq_build_text(p->out, apart ? ", " : " ");
            marq_print_remark(p->out, p->tree, mark->span,
                              p->plan->swap_remarks);
        }
    }
}

/* ---- stands ---- */

static void print_stand(printer *p, const marq_stand *stand, bool assumed,
                        marq_print_use use)
{
    marq_build words;
    marq_build_init(&words, &p->scratch);
    if (marq_print_stand_words(&words, p->vocab, p->tree, stand, use)) {
        marq_build_text(p->out, use == MARQ_PRINT_NOW ? "now " : "");
        marq_build_text(p->out, assumed ? "~" : "");
        marq_build_text(p->out, marq_build_done(&words, NULL));
        p->out->failed = p->out->failed || words.failed;
        return;
    }
    /* No words of ours say just this: the writer's own do. */
    if (stand->span.from < stand->span.to) {
        marq_print_source(p->out, p->tree, stand->span, p->plan->swap_remarks);
    } else {
        (void)marq_print_stand_words(p->out, p->vocab, NULL, stand, use);
    }
}

void marq_print_stand(marq_build *out, const marq_vocab *vocab,
                      const marq_stand *stand)
{
    /* exact if it can be as a start; else as what one comes to */
    marq_print_use use = MARQ_PRINT_START;
    if (stand->bodies[marq_body_two(MARQ_TIPS, MARQ_SIDE_RIGHT)] ||
        stand->bodies[marq_body_two(MARQ_TIPS, MARQ_SIDE_LEFT)]) {
        use = MARQ_PRINT_NOW;
    }
    (void)marq_print_stand_words(out, vocab, NULL, stand, use);
}

/* ---- steps ---- */

/* The placing step is said by its place alone: "to fourth".  The index of
 * that mark, or SIZE_MAX. */
static size_t find_place(const printer *p, const marq_item *item,
                         const marq_mark *marks, size_t count)
{
    const marq_term *term = &p->vocab->data->terms[item->term];
    size_t place = SIZE_MAX;
    if (strcmp(marq_string(p->vocab, term->id), "place") != 0) {
        return SIZE_MAX;
    }
    for (size_t i = 0; i < count; i++) {
        if (marks[i].kind == MARQ_MARK_IN ||
            (marks[i].kind == MARQ_MARK_TO && place != SIZE_MAX)) {
            return SIZE_MAX; /* without a name these would mean another */
        }
        if (marks[i].kind == MARQ_MARK_TO) {
            place = i;
        }
    }
    return place;
}

/* Would the first words of the mark be read as more of the words before it?
 * "attitude devant" is a term of its own; "devant attitude" is not. */
static bool runs_on(printer *p, const char *words, const marq_mark *mark,
                    unsigned term)
{
    marq_build both;
    bool joined = false;
    if (mark->assumed) {
        return false; /* the sign of it stands between */
    }
    marq_build_init(&both, &p->scratch);
    marq_build_text(&both, words);
    marq_build_char(&both, ' ');
    marq_print_mark_words(&both, p->vocab, p->tree, mark, term);
    const char *text = marq_build_done(&both, NULL);
    if (text == NULL || marq_print_runs_on(&joined, &p->scratch, p->vocab,
                                           words, text) != MARQ_OK) {
        p->out->failed = true;
    }
    return joined;
}

/* The same after a mark. */
static bool mark_runs_on(printer *p, const marq_mark *mark,
                         const marq_mark *next, unsigned term)
{
    marq_build words;
    marq_build_init(&words, &p->scratch);
    marq_print_mark_words(&words, p->vocab, p->tree, mark, term);
    const char *text = marq_build_done(&words, NULL);
    if (text == NULL) {
        p->out->failed = true;
        return false;
    }
    /* "to second": what the relation is put to may be joined */
    const char *last = mark->kind == MARQ_MARK_TO ? strchr(text, ' ') : NULL;
    return runs_on(p, last ? last + 1 : text, next, term);
}

/* Two marks whose words would be read as one ("dessus dessous", "open" and
 * "front foot") change places.  That may bring two others together: a few
 * passes settle what anybody writes. */
static void part_marks(printer *p, marq_mark *marks, size_t count,
                       unsigned term)
{
    bool moved = true;
    for (int pass = 0; pass < 4 && moved; pass++) {
        moved = false;
        for (size_t i = 0; i + 1 < count; i++) {
            if (mark_runs_on(p, &marks[i], &marks[i + 1], term)) {
                marq_mark mark = marks[i];
                marks[i] = marks[i + 1];
                marks[i + 1] = mark;
                moved = true;
            }
        }
    }
}

/* "penchée arabesque" is a term as well as "arabesque penchée". */
static bool name_runs_on(printer *p, const marq_mark *mark, const char *name,
                         unsigned term)
{
    marq_build first, both;
    bool joined = false;
    marq_build_init(&first, &p->scratch);
    marq_print_mark_words(&first, p->vocab, p->tree, mark, term);
    const char *words = marq_build_done(&first, NULL);
    marq_build_init(&both, &p->scratch);
    marq_build_text(&both, words);
    marq_build_char(&both, ' ');
    marq_build_text(&both, name);
    const char *text = marq_build_done(&both, NULL);
    if (words == NULL || text == NULL ||
        marq_print_runs_on(&joined, &p->scratch, p->vocab, words, text) !=
            MARQ_OK) {
        p->out->failed = true;
    }
    return joined;
}

/* A name, with marks that cannot follow it before it, or a filler between if
 * that does not help.  Returns how
 * many of the marks are written. */
static size_t print_name(printer *p, const char *name, unsigned term,
                         const marq_mark *marks, size_t count)
{
    size_t before = 0;
    bool apart = false;
    while (before < count && runs_on(p, name, &marks[before], term)) {
        apart = name_runs_on(p, &marks[before], name, term);
        if (apart) {
            break;
        }
        print_mark(p, &marks[before], term);
        marq_build_char(p->out, ' ');
        before++;
    }
    marq_build_text(p->out, name);
    marq_build_text(p->out, apart ? " the" : "");
    return before;
}

static void print_step(printer *p, const marq_item *item, marq_mark *marks,
                       size_t count)
{
    part_marks(p, marks, count, item->term);
    size_t place = find_place(p, item, marks, count), first = 0;
    if (place != SIZE_MAX &&
        !(count > 1 &&
          mark_runs_on(p, &marks[place], &marks[place == 0], item->term))) {
        print_mark(p, &marks[place], item->term);
    } else {
        place = SIZE_MAX;
        first = print_name(
            p, marq_string(p->vocab, p->vocab->data->terms[item->term].name),
            item->term, marks, count);
    }
    for (size_t i = first; i < count; i++) {
        if (i != place) {
            marq_build_char(p->out, ' ');
            print_mark(p, &marks[i], item->term);
        }
    }
}

/* ---- items ---- */

/* Would a facing here be read as something else: at the beginning of the text
 * as the start, after a place as more of it? */
static bool is_like_stand(const printer *p, size_t index)
{
    const marq_line *line = MARQ_AT(&p->tree->lines, marq_line, 0);
    if (index > 0) {
        return MARQ_AT(&p->tree->items, marq_item, index - 1)->kind ==
               MARQ_ITEM_STAND;
    }
    return !p->tree->start.written && !p->plan->start &&
           !(line->item_count > 0 && line->has_counts);
}

/* A filler keeps the word from heading its line.  A right or left in it is a
 * right or left only if it was read so. */
static void print_unknown(printer *p, const marq_item *item, bool bare)
{
    marq_build words;
    bool heads = false, sides = false;
    for (uint32_t i = 0; i < item->mark_count; i++) {
        sides =
            sides || is_inside_word(item, MARQ_AT(&p->tree->marks, marq_mark,
                                                  item->first_mark + i));
    }
    marq_build_init(&words, &p->scratch);
    marq_print_source(&words, p->tree, item->word,
                      sides && p->plan->swap_remarks);
    const char *text = marq_build_done(&words, NULL);
    if (text == NULL || (bare && marq_print_heads(&heads, &p->scratch, p->vocab,
                                                  text) != MARQ_OK)) {
        p->out->failed = true;
        return;
    }
    /* nor is it a misspelt form together with a mark before it */
    marq_build_text(p->out, heads || !bare ? "the " : "");
    marq_build_text(p->out, text);
}

/* Returns how many of the marks are written. */
static size_t print_other(printer *p, size_t index, const marq_mark *marks,
                          size_t count)
{
    const marq_item *item = MARQ_AT(&p->tree->items, marq_item, index);
    const marq_stand *stand;
    switch ((marq_item_kind)item->kind) {
    case MARQ_ITEM_UNKNOWN:
        /* after it, marks would be taken for more of it */
        for (size_t i = 0; i < count; i++) {
            print_mark(p, &marks[i], MARQ_NO_TERM);
            marq_build_char(p->out, ' ');
        }
        print_unknown(p, item, count == 0);
        return count;
    case MARQ_ITEM_STAND:
        stand = MARQ_AT(&p->tree->stands, marq_stand, item->stand);
        print_stand(p, stand, stand->assumed, MARQ_PRINT_NOW);
        break;
    case MARQ_ITEM_FACE:
        stand = MARQ_AT(&p->tree->stands, marq_stand, item->stand);
        print_stand(p, stand, stand->assumed,
                    is_like_stand(p, index) ? MARQ_PRINT_TO : MARQ_PRINT_FACE);
        break;
    case MARQ_ITEM_OPERATOR:
        return print_name(p, marq_print_operator_words(item->operator_),
                          MARQ_NO_TERM, marks, count);
    case MARQ_ITEM_HOLE:
        marq_build_text(p->out, "...");
        break;
    case MARQ_ITEM_REMARK:
        marq_print_remark(p->out, p->tree, item->span, p->plan->swap_remarks);
        break;
    case MARQ_ITEM_STEP:
        break;
    }
    return 0;
}

static void print_item(printer *p, size_t index)
{
    const marq_item *item = MARQ_AT(&p->tree->items, marq_item, index);
    marq_array marks;
    marq_array_init(&marks, &p->scratch, sizeof(marq_mark));
    gather_marks(p, &marks, index, item);
    if (item->has_counts) {
        print_counts(p->out, item->count_from, item->count_to);
        marq_build_char(p->out, ' ');
    }
    if (item->kind == MARQ_ITEM_STEP &&
        item->term < p->vocab->data->term_count) {
        print_step(p, item, marks.at, marks.count);
    } else {
        size_t first = print_other(p, index, marks.at, marks.count);
        for (size_t i = first; i < marks.count; i++) {
            marq_build_char(p->out, ' ');
            print_mark(p, MARQ_AT(&marks, marq_mark, i), MARQ_NO_TERM);
        }
    }
    print_times_and_remarks(p, item);
    marq_arena_reset(&p->scratch);
}

/* ---- lines ---- */

/* Does something stand above the lines? */
static bool is_headed(const printer *p)
{
    return p->tree->headings.count > 0 || p->tree->start.written ||
           p->plan->start != NULL;
}

/* A first line of nothing but talk would be read as the title, were it not
 * for a comma after it. */
static bool is_like_title(const printer *p, const marq_line *line)
{
    const marq_tree *tree = p->tree;
    if (line->first_item > 0 || line->has_counts || is_headed(p)) {
        return false;
    }
    for (uint32_t i = 0; i < line->item_count; i++) {
        uint8_t kind =
            MARQ_AT(&tree->items, marq_item, line->first_item + i)->kind;
        if (kind != MARQ_ITEM_UNKNOWN && kind != MARQ_ITEM_REMARK) {
            return false;
        }
    }
    return true;
}

static void print_line(printer *p, const marq_line *line, bool columns)
{
    if (line->has_counts) {
        print_counts(p->out, line->count_from, line->count_to);
    }
    if (columns && line->item_count > 0) {
        pad_column(p);
    }
    for (uint32_t i = 0; i < line->item_count; i++) {
        if (i > 0) {
            marq_build_text(p->out, ", ");
        }
        print_item(p, (size_t)line->first_item + i);
    }
    if (is_like_title(p, line)) {
        marq_build_char(p->out, ',');
    }
    end_line(p);
}

static bool has_columns(const marq_tree *tree)
{
    for (size_t i = 0; i < tree->lines.count; i++) {
        if (MARQ_AT(&tree->lines, marq_line, i)->has_counts) {
            return true;
        }
    }
    return false;
}

static void print_lines(printer *p)
{
    bool columns = has_columns(p->tree);
    uint8_t side = MARQ_SIDE_NONE;
    for (size_t i = 0; i < p->tree->lines.count; i++) {
        const marq_line *line = MARQ_AT(&p->tree->lines, marq_line, i);
        if (line->phrase_break && i > 0) {
            end_line(p);
        }
        if (line->side != side && line->side != MARQ_SIDE_NONE) {
            marq_build_text(p->out, marq_side_words((marq_side)line->side));
            /* the colon would make a title of a first line */
            marq_build_text(p->out, i > 0 || is_headed(p) ? " side:" : " side");
            end_line(p);
        }
        side = line->side;
        print_line(p, line, columns);
    }
}

/* ---- headings ---- */

/* A heading and its value, a colon between them if the key would be read as
 * one with the words after it ("finish on"). */
static void print_value(printer *p, const char *key, const char *value)
{
    marq_build both;
    bool joined = false;
    marq_build_init(&both, &p->scratch);
    marq_build_text(&both, key);
    marq_build_char(&both, ' ');
    marq_build_text(&both, value);
    const char *text = marq_build_done(&both, NULL);
    if (value == NULL || text == NULL ||
        marq_print_runs_on(&joined, &p->scratch, p->vocab, key, text) !=
            MARQ_OK) {
        p->out->failed = true;
        return;
    }
    marq_build_text(p->out, key);
    marq_build_text(p->out, joined ? ":" : "");
    pad_column(p);
    marq_build_text(p->out, value);
    end_line(p);
    marq_arena_reset(&p->scratch);
}

static void print_headings(printer *p)
{
    static const char *const keys[] = {
        "", "title", "level", "music", "start", "finish", "", "", "remark",
    };
    for (size_t i = 0; i < p->tree->headings.count; i++) {
        const marq_heading_line *h =
            MARQ_AT(&p->tree->headings, marq_heading_line, i);
        if (h->heading >= sizeof keys / sizeof keys[0]) {
            continue;
        }
        marq_build value;
        marq_build_init(&value, &p->scratch);
        marq_print_source(&value, p->tree, h->value,
                          p->plan->swap_remarks &&
                              h->heading == MARQ_HEAD_REMARK);
        print_value(p, keys[h->heading], marq_build_done(&value, NULL));
    }
}

static void print_end(printer *p, marq_print_use use, const marq_stand *stand,
                      bool assumed)
{
    marq_build value, *out = p->out;
    marq_build_init(&value, &p->scratch);
    p->out = &value;
    print_stand(p, stand, assumed, use);
    p->out = out;
    print_value(p, use == MARQ_PRINT_START ? "start" : "finish",
                marq_build_done(&value, NULL));
}

void marq_print_tree(marq_build *out, const marq_vocab *vocab,
                     const marq_tree *tree, const marq_print_plan *plan)
{
    printer p;
    memset(&p, 0, sizeof p);
    p.out = out;
    p.vocab = vocab;
    p.tree = tree;
    p.plan = plan ? plan : &no_plan;
    p.line_start = out->bytes.count;
    marq_arena_init(&p.scratch, out->bytes.arena->mem);
    print_headings(&p);
    if (p.plan->start) {
        print_end(&p, MARQ_PRINT_START, p.plan->start, p.plan->start_assumed);
    } else if (tree->start.written) {
        print_end(&p, MARQ_PRINT_START, &tree->start, tree->start.assumed);
    }
    if (tree->lines.count > 0 && is_headed(&p)) {
        end_line(&p);
    }
    print_lines(&p);
    if (tree->finish.written) {
        print_end(&p, MARQ_PRINT_FINISH, &tree->finish, tree->finish.assumed);
    }
    marq_arena_free(&p.scratch);
}
