/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A shop's own words for colours. */
#include "oxl.h"

OXL_RELEASE(release, oxl_words, words, oxt_words_free)

static size_t count_words(const void *object)
{
    const oxl_words *words = object;
    oxt_word word = OXT_WORD_INIT;
    size_t found = 0;
    while (oxt_words_get(words->words, found, &word, NULL) == OXT_OK)
        found++;
    return found;
}

static const oxl_field word_fields[] = {
    OXL_FIELD(oxt_word, word, OXL_TEXT),     OXL_FIELD(oxt_word, index, OXL_INT_PLACE),
    OXL_FIELD(oxt_word, low_nm, OXL_NUMBER), OXL_FIELD(oxt_word, high_nm, OXL_NUMBER),
    OXL_FIELD(oxt_word, line, OXL_COUNT),    OXL_END,
};

static void push_word(lua_State *L, const void *object, size_t index)
{
    const oxl_words *words = object;
    oxt_word word = OXT_WORD_INIT;
    oxt_words_get(words->words, index, &word, NULL);
    oxl_push_struct(L, word_fields, &word);
}

static bool is_same(lua_State *L, const void *a, const void *b)
{
    const oxl_words *first = a, *second = b;
    size_t count = count_words(first);
    bool same = count == count_words(second);
    (void)L;
    for (size_t i = 0; i < count && same; i++) {
        oxt_word one = OXT_WORD_INIT, other = OXT_WORD_INIT;
        oxt_words_get(first->words, i, &one, NULL);
        oxt_words_get(second->words, i, &other, NULL);
        one.line = other.line; /* where a word stands in its file is no part of it */
        same = oxl_is_same_struct(word_fields, &one, &other);
    }
    return same;
}

const oxl_class oxl_words_class = {
    .name = "oxtint.words",
    .noun = "list of words",
    .size = sizeof(oxl_words),
    .release = release,
    .count = count_words,
    .item = push_word,
    .is_same = is_same,
};

const oxt_words *oxl_words_argument(lua_State *L, int arg)
{
    if (lua_isnoneornil(L, arg))
        return NULL;
    const oxl_words *words = oxl_check(L, arg, &oxl_words_class);
    return words->words;
}

static int read_from(lua_State *L, const char *path, const char *text, size_t length)
{
    oxt_error error = OXT_ERROR_INIT;
    oxl_faults *faults = oxl_new(L, &oxl_faults_class);
    oxl_words *words = oxl_new(L, &oxl_words_class);
    oxt_status status = oxt_words_read_csv(&words->words, path, text, length, &faults->faults,
                                           &error);
    words->object.open = !status;
    return status ? oxl_fail_file(L, faults, status, &error) : 1;
}

static int read_words(lua_State *L)
{
    return read_from(L, oxl_check_text(L, 1), NULL, 0);
}

static int read_words_text(lua_State *L)
{
    size_t length;
    const char *text = oxl_check_data(L, 1, &length);
    return read_from(L, NULL, text, length);
}

const luaL_Reg oxl_words_functions[] = { { "read_words", read_words },
                                         { "read_words_text", read_words_text },
                                         { NULL, NULL } };
