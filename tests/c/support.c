/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L

#include "support.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

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

/* ---- logs of trials ---- */

oxt_trial trial_at(double bath_K, double time_s)
{
    oxt_trial trial = OXT_TRIAL_INIT;
    strcpy(trial.steel, "Alder 1");
    trial.bath_K = bath_K;
    trial.time_s = time_s;
    return trial;
}

oxt_trials *new_log(void)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    OK(oxt_trials_new(&log, NULL, &error));
    return log;
}

oxt_fit *new_fit(const oxt_trials *log, const oxt_fit_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *fit;
    OK(oxt_fit_run(&fit, log, default_film(), options, &error));
    return fit;
}

void add_colour(oxt_trials *log, double bath_K, double time_s, const char *colour)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trial trial = trial_at(bath_K, time_s);
    cr_assert(strlen(colour) < sizeof trial.colour);
    strcpy(trial.colour, colour);
    OK(oxt_trials_add(log, &trial, NULL, &error));
}

void add_thickness(oxt_trials *log, double bath_K, double time_s, double thickness_nm)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trial trial = trial_at(bath_K, time_s);
    trial.seen = OXT_SEEN_THICKNESS;
    trial.thickness_nm = thickness_nm;
    OK(oxt_trials_add(log, &trial, NULL, &error));
}

oxt_growth growth_of(double k_ref_nm2_per_s, double T_ref_K, double Q_J_per_mol)
{
    oxt_growth growth = OXT_GROWTH_INIT;
    growth.k_ref_nm2_per_s = k_ref_nm2_per_s;
    growth.T_ref_K = T_ref_K;
    growth.Q_J_per_mol = Q_J_per_mol;
    return growth;
}

/* ---- what docs/understand/accuracy.md states ---- */

void measured(const char *name, double value, double low, double high)
{
    FILE *file = fopen(TEST_SCRATCH "/measured.txt", "a"); /* a line is written at once */
    cr_assert_not_null(file);
    fprintf(file, "%s %.6g %g %g\n", name, value, low, high);
    fclose(file);
    cr_assert(value >= low && value <= high, "%s is %g, expected %g to %g", name, value, low, high);
}

double worse(double before, double error)
{
    return fabs(error) <= before ? before : fabs(error);
}

/* ---- files ---- */

/* Call `act` (NULL allowed) with the path of every file of a directory; gives their number. */
static size_t walk(const char *directory, int (*act)(const char *))
{
    char path[1200];
    size_t count = 0;
    DIR *open = opendir(directory);
    cr_assert_not_null(open, "no %s", directory);
    for (struct dirent *entry; (entry = readdir(open)) != NULL;) {
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0)
            continue;
        snprintf(path, sizeof path, "%s/%s", directory, entry->d_name);
        if (act)
            act(path);
        count++;
    }
    closedir(open);
    return count;
}

/* A file, or a directory with all that it holds. */
static int remove_whole(const char *path)
{
    if (remove(path) == 0)
        return 0;
    walk(path, remove_whole);
    return remove(path);
}

const char *scratch_directory(const char *name)
{
    static char path[600];
    snprintf(path, sizeof path, "%s/%s", TEST_SCRATCH, name);
    if (mkdir(path, 0777) != 0)
        walk(path, remove_whole);
    cr_assert_eq(files_in(path), 0, "%s cannot be emptied", path);
    return path;
}

size_t files_in(const char *directory)
{
    return walk(directory, NULL);
}

char *whole_file(const char *path, size_t *length)
{
    FILE *file = fopen(path, "rb");
    cr_assert_not_null(file, "no %s", path);
    fseek(file, 0, SEEK_END);
    *length = (size_t)ftell(file);
    rewind(file);
    char *bytes = malloc(*length + 1);
    cr_assert(bytes && fread(bytes, 1, *length, file) == *length);
    bytes[*length] = '\0';
    fclose(file);
    return bytes;
}

double grown_nm2(const oxt_growth *growth, const oxt_part *part, const oxt_lift *lift,
                 double bath_K, double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_trial trial = trial_at(bath_K, time_s);
    double equivalent_s, rate_nm2_per_s;
    values.basis = OXT_BASIS_STEEL;
    values.growth = *growth;
    trial.lift_s = lift->delay_s;
    if (part->size_m > 0.0) {
        trial.part_size_m = part->size_m;
        trial.part_shape = part->shape;
        trial.part_start_K = part->start_K;
        trial.transfer_W_per_m2K = part->transfer_W_per_m2K;
    }
    oxt_steel *steel = steel_of(&values);
    OK(oxt_dip_equivalent_time(steel, &trial, &equivalent_s, &error));
    OK(oxt_rate(growth, bath_K, &rate_nm2_per_s, &error));
    oxt_steel_free(steel);
    return rate_nm2_per_s * equivalent_s;
}

oxt_steel_values some_steel(void)
{
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    strcpy(values.steel, "Alder 1");
    values.growth = growth_of(55.0, 588.7, 80e3);
    values.variance_ln_k = 0.0021;
    values.variance_Q_J2_per_mol2 = 31.7e6;
    values.scatter = 0.05;
    values.dof = 10.0;
    values.bath_low_K = 560.9;
    values.bath_high_K = 616.5;
    values.thickness_low_nm = 14.1;
    values.thickness_high_nm = 103.9;
    values.trial_count = 12;
    return values;
}

oxt_target target_of(const char *name)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target target = OXT_TARGET_INIT;
    OK(oxt_tint_target(default_film(), name, &target, &error));
    return target;
}

oxt_fit_values values_of_fit(const oxt_fit *fit)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_values values = OXT_FIT_VALUES_INIT;
    OK(oxt_fit_get(fit, &values, &error));
    return values;
}

size_t fit_warning_count(const oxt_fit *fit)
{
    return values_of_fit(fit).warning_count;
}

size_t pool_warning_count(const oxt_pool *pool)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_pool_values values = OXT_POOL_VALUES_INIT;
    OK(oxt_pool_get(pool, &values, &error));
    return values.warning_count;
}

oxt_fit_row row_of_fit(const oxt_fit *fit, size_t index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_row row = OXT_FIT_ROW_INIT;
    OK(oxt_fit_get_row(fit, index, &row, &error));
    return row;
}

oxt_steel *steel_of(const oxt_steel_values *values)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel;
    OK(oxt_steel_new(&steel, values, &error));
    return steel;
}

oxt_status tracker_by(oxt_track **made, const oxt_growth *growth, const oxt_film *seen_in,
                      const oxt_target *target, const oxt_track_options *options, oxt_error *error)
{
    oxt_steel_values values = some_steel();
    oxt_steel *steel;
    values.growth = *growth;
    *made = NULL;
    oxt_status status = oxt_steel_new(&steel, &values, error);
    if (!status)
        status = oxt_track_new(made, steel, seen_in, target, options, error);
    oxt_steel_free(steel);
    return status;
}

const char *unbroken(const char *text)
{
    static char made[8000];
    char *end = made;
    for (bool space = false; *text; text++) {
        bool is_space = *text == ' ' || *text == '\n';
        if (!is_space && space)
            *end++ = ' ';
        if (!is_space)
            *end++ = *text;
        space = is_space;
    }
    *end = '\0';
    return made;
}

oxt_status bath_for_time(const oxt_steel *steel, const oxt_target *target, double time_s,
                         const oxt_dip_options *options, double *bath_K, oxt_error *error)
{
    oxt_dip dip = OXT_DIP_INIT;
    oxt_status status = oxt_dip_for_time(steel, target, time_s, options, &dip, error);
    if (!status)
        *bath_K = dip.bath_K;
    return status;
}

oxt_steel_values values_of_steel(const oxt_steel *steel)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    OK(oxt_steel_get(steel, &values, &error));
    return values;
}
