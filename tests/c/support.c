/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void add_row(table *into, const char *line)
{
    double row[32];
    size_t columns = 0;
    for (char *end; columns < 32; line = end + 1) {
        row[columns] = strtod(line, &end);
        if (end == line)
            break;
        columns++;
        if (*end != ',')
            break;
    }
    if (columns == 0 || (into->columns && columns != into->columns))
        return;
    into->columns = columns;
    into->cells = realloc(into->cells, (into->rows + 1) * columns * sizeof(double));
    cr_assert_not_null(into->cells);
    memcpy(into->cells + into->rows++ * columns, row, columns * sizeof(double));
}

table read_table(const char *name)
{
    char path[600], line[4096];
    table made = { 0 };
    snprintf(path, sizeof path, "%s/%s", TEST_DATA, name);
    FILE *file = fopen(path, "r");
    cr_assert_not_null(file, "no %s", path);
    while (fgets(line, sizeof line, file))
        if (line[0] != '#')
            add_row(&made, line);
    fclose(file);
    cr_assert(made.rows > 0, "%s is empty", path);
    return made;
}

void free_table(table *made)
{
    free(made->cells);
}

static void drop_film(void);
static oxt_film *film;

const oxt_film *default_film(void)
{
    if (!film) {
        oxt_error error = OXT_ERROR_INIT;
        OK(oxt_film_new(&film, NULL, &error));
        atexit(drop_film);
    }
    return film;
}

static void drop_film(void)
{
    oxt_film_free(film);
    film = NULL;
}

const char *scratch_file(const char *name, const char *bytes, size_t length)
{
    static char path[600];
    snprintf(path, sizeof path, "%s/%s", TEST_SCRATCH, name);
    FILE *file = fopen(path, "wb");
    cr_assert_not_null(file);
    cr_assert(fwrite(bytes, 1, length, file) == length);
    fclose(file);
    return path;
}
