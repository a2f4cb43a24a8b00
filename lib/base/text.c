/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Texts, in and out, that never see the host's locale. */
#define _POSIX_C_SOURCE 200809L

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/internal.h"

/* The locale of this thread only is changed, and put back; other threads do not notice. */
#ifdef _WIN32

typedef struct {
    int of_threads;   /* as it was; 0 where nothing had to be changed */
    char theirs[128]; /* the locale of numbers */
} c_locale;

static c_locale enter_c_locale(void)
{
    c_locale entered = { 0, "" };
    if (strcmp(localeconv()->decimal_point, ".") == 0)
        return entered;
    entered.of_threads = _configthreadlocale(_ENABLE_PER_THREAD_LOCALE);
    oxt_i_copy_text(entered.theirs, sizeof entered.theirs, setlocale(LC_NUMERIC, NULL));
    setlocale(LC_NUMERIC, "C");
    return entered;
}

static void leave_c_locale(c_locale entered)
{
    if (entered.of_threads == 0)
        return;
    setlocale(LC_NUMERIC, entered.theirs);
    _configthreadlocale(entered.of_threads);
}

#else

typedef struct {
    locale_t ours, theirs;
} c_locale;

static c_locale enter_c_locale(void)
{
    c_locale entered = { newlocale(LC_ALL_MASK, "C", (locale_t)0), (locale_t)0 };
    if (entered.ours)
        entered.theirs = uselocale(entered.ours);
    return entered;
}

static void leave_c_locale(c_locale entered)
{
    if (!entered.ours)
        return;
    uselocale(entered.theirs);
    freelocale(entered.ours);
}

#endif

int oxt_i_vsnprintf(char *buffer, size_t capacity, const char *format, va_list list)
{
    c_locale entered = enter_c_locale();
    int length = vsnprintf(buffer, capacity, format, list);
    leave_c_locale(entered);
    return length;
}

int oxt_i_snprintf(char *buffer, size_t capacity, const char *format, ...)
{
    va_list list;
    va_start(list, format);
    int length = oxt_i_vsnprintf(buffer, capacity, format, list);
    va_end(list);
    return length;
}

double oxt_i_strtod(const char *text, char **end)
{
    c_locale entered = enter_c_locale();
    double value = strtod(text, end);
    leave_c_locale(entered);
    return value;
}

static bool make_room(oxt_i_text *text, size_t more)
{
    if (text->failed)
        return false;
    if (text->length + more < text->capacity)
        return true;
    size_t capacity = 2 * text->capacity + more + 64;
    char *data = realloc(text->data, capacity);
    if (!data) {
        text->failed = true;
        return false;
    }
    text->data = data;
    text->capacity = capacity;
    return true;
}

void oxt_i_text_add_bytes(oxt_i_text *text, const char *bytes, size_t length)
{
    if (!make_room(text, length))
        return;
    memcpy(text->data + text->length, bytes, length);
    text->length += length;
    text->data[text->length] = '\0';
}

void oxt_i_text_add(oxt_i_text *text, const char *format, ...)
{
    va_list list;
    va_start(list, format);
    int length = oxt_i_vsnprintf(NULL, 0, format, list);
    va_end(list);
    if (length < 0 || !make_room(text, (size_t)length))
        return;
    va_start(list, format);
    oxt_i_vsnprintf(text->data + text->length, (size_t)length + 1, format, list);
    va_end(list);
    text->length += (size_t)length;
}

oxt_i_digits oxt_i_shortest(double value)
{
    oxt_i_digits digits;
    for (int precision = 15; precision <= 17; precision++) {
        oxt_i_snprintf(digits.text, sizeof digits.text, "%.*g", precision, value);
        if (oxt_i_strtod(digits.text, NULL) == value)
            break;
    }
    return digits;
}

void oxt_i_text_add_number(oxt_i_text *text, double value)
{
    oxt_i_text_add(text, "%s", oxt_i_shortest(value).text);
}

/* Whether a word ends in a digit and the next one is its unit, which is never parted from it. */
static bool has_unit_next(const char *word, size_t length, const char *next)
{
    static const char *const units[] = { "%", "s",  "min", "h",      "C",     "F",
                                         "K", "nm", "mm",  "kJ/mol", "nm^2/s" };
    size_t size = strcspn(next, " ");
    if (length == 0 || word[length - 1] < '0' || word[length - 1] > '9')
        return false;
    while (size > 0 && strchr(".,:;)", next[size - 1]))
        size--;
    for (size_t i = 0; i < OXT_I_COUNT(units); i++)
        if (strlen(units[i]) == size && strncmp(units[i], next, size) == 0)
            return true;
    return false;
}

/* Length of what stays on one line: a word, and its unit when it is a number. */
static size_t whole_word(const char *word)
{
    size_t length = strcspn(word, " "), blanks = strspn(word + length, " ");
    if (!blanks || !has_unit_next(word, length, word + length + blanks))
        return length;
    return length + blanks + strcspn(word + length + blanks, " ");
}

void oxt_i_text_add_item(oxt_i_text *text, const char *sentences)
{
    enum { WIDTH = 78 };
    oxt_i_text_add(text, "  -");
    size_t column = 3;
    while (*sentences) {
        size_t word = whole_word(sentences);
        if (column + 1 + word > WIDTH && column > 3) {
            oxt_i_text_add(text, "\n   ");
            column = 3;
        }
        oxt_i_text_add(text, " ");
        oxt_i_text_add_bytes(text, sentences, word);
        column += 1 + word;
        sentences += word;
        sentences += strspn(sentences, " ");
    }
    oxt_i_text_add(text, "\n");
}

void oxt_i_text_free(oxt_i_text *text)
{
    free(text->data);
    *text = (oxt_i_text){ 0 };
}

void oxt_i_copy_text(char *into, size_t capacity, const char *from)
{
    if (capacity == 0)
        return;
    size_t length = strlen(from);
    if (length >= capacity) {
        length = capacity - 1;
        while (length > 0 && ((unsigned char)from[length] & 0xC0) == 0x80)
            length--;
    }
    memcpy(into, from, length);
    into[length] = '\0';
}

bool oxt_i_is_marked(const char *text)
{
    return strchr(text, OXT_I_MARK) != NULL;
}

void oxt_i_copy_plain(char *into, size_t capacity, const char *marked)
{
    size_t length = 0;
    while (*marked && length + 1 < capacity) {
        size_t hidden = *marked == OXT_I_MARK
                            ? strcspn(marked, (const char[]){ OXT_I_MARK_SHOWN, '\0' })
                            : 0;
        marked += hidden;
        if (*marked && *marked != OXT_I_MARK_SHOWN && *marked != OXT_I_MARK_END)
            into[length++] = *marked;
        marked += *marked != '\0';
    }
    into[length] = '\0';
}

/* Length of the UTF-8 character at `text`, 0 when it is none (RFC 3629). */
static size_t utf8_length(const unsigned char *text, size_t left)
{
    unsigned char lead = text[0];
    if (lead < 0x80)
        return lead == 0 ? 0 : 1;
    size_t length = lead < 0xC2 ? 0 : lead < 0xE0 ? 2 : lead < 0xF0 ? 3 : lead < 0xF5 ? 4 : 0;
    if (length == 0 || length > left)
        return 0;
    for (size_t i = 1; i < length; i++)
        if ((text[i] & 0xC0) != 0x80)
            return 0;
    bool overlong = (lead == 0xE0 && text[1] < 0xA0) || (lead == 0xF0 && text[1] < 0x90);
    bool surrogate = lead == 0xED && text[1] >= 0xA0;
    bool too_high = lead == 0xF4 && text[1] >= 0x90;
    return overlong || surrogate || too_high ? 0 : length;
}

bool oxt_i_is_utf8(const char *text, size_t length)
{
    for (size_t at = 0; at < length;) {
        size_t step = utf8_length((const unsigned char *)text + at, length - at);
        if (step == 0)
            return false;
        at += step;
    }
    return true;
}

oxt_i_quote oxt_i_quoted(const char *text)
{
    oxt_i_quote quote;
    oxt_i_copy_text(quote.text, sizeof quote.text, text);
    bool good = oxt_i_is_utf8(quote.text, strlen(quote.text));
    for (char *letter = quote.text; *letter; letter++)
        if ((unsigned char)*letter < 0x20 || *letter == 0x7F || (!good && (*letter & 0x80)))
            *letter = '?';
    return quote;
}

int oxt_i_width(const char *text)
{
    int count = 0;
    for (; *text; text++)
        count += ((unsigned char)*text & 0xC0) != 0x80;
    return count;
}

const char *oxt_i_plural(size_t count)
{
    return count == 1 ? "" : "s";
}

/* Optimal string alignment (Damerau 1964; Levenshtein 1966); only the last three rows are kept. */
size_t oxt_i_edits(const char *a, const char *b)
{
    size_t rows[3][64], length = strlen(b);
    size_t *before = rows[0], *above = rows[1], *here = rows[2];
    for (size_t j = 0; j <= length; j++)
        here[j] = j;
    for (size_t i = 1; a[i - 1]; i++) {
        size_t *oldest = before;
        before = above;
        above = here;
        here = oldest;
        here[0] = i;
        for (size_t j = 1; j <= length; j++) {
            size_t least = above[j - 1] + (a[i - 1] != b[j - 1]);
            least = above[j] + 1 < least ? above[j] + 1 : least;
            least = here[j - 1] + 1 < least ? here[j - 1] + 1 : least;
            bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
            if (swapped && before[j - 2] + 1 < least)
                least = before[j - 2] + 1;
            here[j] = least;
        }
    }
    return here[length];
}

size_t oxt_i_edits_allowed(size_t length)
{
    return length < 3 ? 0 : length < 7 ? 1 : length < 12 ? 2 : 3;
}

/* tolower and friends follow the locale; these do not. */
char oxt_i_lower(char letter)
{
    return letter >= 'A' && letter <= 'Z' ? (char)(letter - 'A' + 'a') : letter;
}

bool oxt_i_same_word(const char *a, const char *b)
{
    while (*a && oxt_i_lower(*a) == oxt_i_lower(*b)) {
        a++;
        b++;
    }
    return oxt_i_lower(*a) == oxt_i_lower(*b);
}

static bool is_separator(char letter)
{
    return letter == ' ' || letter == '\t' || letter == '-' || letter == '_' || letter == ',' ||
           letter == '(' || letter == ')';
}

/* Words are compared in lower case and without what stands between them: "Dark-Blue" is darkblue. */
void oxt_i_key_of(const char *text, oxt_i_key *key)
{
    key->length = 0;
    for (; *text && key->length + 1 < sizeof key->text; text++)
        if (!is_separator(*text))
            key->text[key->length++] = oxt_i_lower(*text);
    key->text[key->length] = '\0';
}

bool oxt_i_is_key(const oxt_i_key *key, const char *word)
{
    const char *at = key->text;
    for (; *word; word++)
        if (!is_separator(*word) && oxt_i_lower(*word) != *at++)
            return false;
    return *at == '\0';
}
