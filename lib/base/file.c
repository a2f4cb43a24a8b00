/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files: whole or not at all, and never in place of something else. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/internal.h"
#include "base/system.h"

/* ---- what is there ---- */

static const char *const kind_words[] = { "card", "log of trials", "picture", "page" };

static bool begins_with(const char *text, const char *with)
{
    return strncmp(text, with, strlen(with)) == 0;
}

/* Past a byte order mark, blanks, and comments of a log. */
static const char *first_line(const char *text)
{
    if (begins_with(text, "\xef\xbb\xbf"))
        text += 3;
    for (;;) {
        text += strspn(text, " \t\r\n");
        if (*text != '#')
            return text;
        text += strcspn(text, "\r\n");
    }
}

/* Does a column of the first line begin with the word, in upper or lower case? */
static bool header_names(const char *line, const char *word)
{
    size_t length = strlen(word), end = strcspn(line, "\r\n");
    for (size_t i = 0; i + length <= end; i++) {
        size_t same = 0, before = i;
        while (before > 0 && strchr(" \"", line[before - 1]))
            before--;
        if (before > 0 && !strchr(",;\t", line[before - 1]))
            continue;
        while (same < length && oxt_i_lower(line[i + same]) == word[same])
            same++;
        if (same == length)
            return true;
    }
    return false;
}

static bool is_picture(const char *text)
{
    const char *first = first_line(text);
    return begins_with(text, "\x89PNG\r\n") || begins_with(text, "%PDF-") ||
           ((begins_with(first, "<?xml") || begins_with(first, "<!DOCTYPE") ||
             begins_with(first, "<svg")) &&
            strstr(first, "<svg"));
}

/* Another program's HTML is none. */
static bool is_page(const char *text)
{
    const char *first = first_line(text);
    return begins_with(first, "<!doctype html>") &&
           strstr(first, "<meta name=\"generator\" content=\"oxtint");
}

/* By its first bytes, as a text without NUL. */
static bool is_of_kind(const char *text, oxt_file_kind kind)
{
    const char *first = first_line(text);
    switch (kind) {
    case OXT_FILE_CARD:
        return *first == '{' && strstr(first, "\"" OXT_I_CARD_KEY "\"");
    case OXT_FILE_TRIALS:
        return *first != '{' && *first != '<' && header_names(first, "bath") &&
               header_names(first, "time");
    case OXT_FILE_PAGE:
        return is_page(text);
    default:
        return is_picture(text);
    }
}

static oxt_status check_kind(const oxt_i_place *there, const char *path, oxt_file_kind kind,
                             oxt_error *error)
{
    enum { ENOUGH = 65536 };
    if (!there->exists || there->empty)
        return OXT_OK;
    char *text = malloc(ENOUGH + 1);
    if (!text)
        return oxt_i_no_memory(error);
    FILE *stream = oxt_i_open_file(there->name);
    size_t got = stream ? fread(text, 1, ENOUGH, stream) : 0;
    oxt_status status = OXT_OK;
    if (!stream || ferror(stream))
        status = oxt_i_io_error(error, path, "look into", errno);
    text[got] = '\0';
    if (!status && !is_of_kind(text, kind))
        status =
            oxt_i_fail_text(error, OXT_EEXIST, "path",
                            "'%s' holds something else than a %s: it is not replaced unless you "
                            "ask for it",
                            path, kind_words[kind]);
    if (stream)
        fclose(stream);
    free(text);
    return status;
}

static oxt_status check_place(oxt_i_place *there, const char *path, oxt_file_kind kind,
                              oxt_replace replace, oxt_error *error)
{
    *there = (oxt_i_place){ NULL, false, false, 0, 0, 0 };
    if (!path)
        return oxt_i_null(error, "path");
    oxt_status status = oxt_i_check_choice("kind", (int)kind, OXT_FILE_PAGE, error);
    if (!status)
        status = oxt_i_check_choice("replace", (int)replace, OXT_REPLACE_ANY, error);
    if (!status)
        status = oxt_i_look_at(there, path, error);
    if (!status && replace != OXT_REPLACE_ANY)
        status = check_kind(there, path, kind, error);
    return status;
}

oxt_status oxt_file_check(const char *path, oxt_file_kind kind, oxt_replace replace,
                          oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_i_place there;
    oxt_status status = check_place(&there, path, kind, replace, error);
    free(there.name);
    return status;
}

/* ---- writing ---- */

oxt_status oxt_file_write(const char *path, oxt_file_kind kind, oxt_replace replace,
                          const void *data, size_t length, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_i_place there;
    if (!data)
        return oxt_i_null(error, "data");
    oxt_status status = check_place(&there, path, kind, replace, error);
    if (!status)
        status = oxt_i_put_file(&there, path, data, length, error);
    free(there.name);
    return status;
}

/* ---- reading ---- */

static oxt_status read_stream(FILE *stream, const char *path, size_t limit, char **data,
                              size_t *length, oxt_error *error)
{
    oxt_i_text text = { 0 };
    char block[16384];
    size_t got;
    while ((got = fread(block, 1, sizeof block, stream)) > 0) {
        oxt_i_text_add_bytes(&text, block, got);
        if (text.failed || text.length > limit)
            break;
    }
    oxt_status status = OXT_OK;
    if (ferror(stream))
        status = oxt_i_io_error(error, path, "read", errno);
    else if (text.failed)
        status = oxt_i_no_memory(error);
    else if (text.length > limit)
        status = oxt_i_fail(error, OXT_EPARSE, "path", NAN, NAN, (double)limit,
                            "'%s' is larger than %zu bytes: this is not such a file", path, limit);
    else
        oxt_i_text_add_bytes(&text, "", 0);
    if (!status && text.failed)
        status = oxt_i_no_memory(error);
    if (status) {
        oxt_i_text_free(&text);
        return status;
    }
    *data = text.data;
    *length = text.length;
    return OXT_OK;
}

oxt_status oxt_i_read_file(const char *path, size_t limit, char **data, size_t *length,
                           oxt_error *error)
{
    FILE *stream = oxt_i_open_file(path);
    if (!stream)
        return oxt_i_io_error(error, path, "read", errno);
    oxt_status status = read_stream(stream, path, limit, data, length, error);
    fclose(stream);
    return status;
}
