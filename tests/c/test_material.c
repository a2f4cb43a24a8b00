/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tables of complex index. */
#include <string.h>

#include "optics.h"
#include "support.h"

/* Every row of a published table that lies between 380 and 780 nm, digit by digit; the sources stand
 * in the files. */
static void check_table(const char *name, const char *file, size_t rows)
{
    table published = read_table(file);
    oxt_material *material = published_material(name);
    cr_assert_eq(published.rows, rows, "%s", file);
    for (size_t i = 0; i < rows; i++) {
        double complex here = index_of(material, at(&published, i, 0));
        NEAR(creal(here), at(&published, i, 1), 1e-14);
        NEAR(cimag(here), at(&published, i, 2), 1e-14);
        if (i == 0)
            continue;
        double middle_nm = 0.5 * (at(&published, i - 1, 0) + at(&published, i, 0));
        double complex middle = index_of(material, middle_nm);
        NEAR(creal(middle), 0.5 * (at(&published, i - 1, 1) + at(&published, i, 1)), 1e-14);
        NEAR(cimag(middle), 0.5 * (at(&published, i - 1, 2) + at(&published, i, 2)), 1e-14);
    }
    oxt_material_free(material);
    free_table(&published);
}

Test(material, published_tables_are_read_along_straight_lines)
{
    check_table("iron", "iron_index.csv", 14);
    check_table("chromium", "chromium_index.csv", 14);
    check_table("magnetite", "magnetite_index.csv", 41);
    check_table("hematite", "hematite_index.csv", 41);
}

/* Beyond the last row below 380 nm and the first above 780: Johnson and Christy (1974), iron and
 * chromium at 368 and 381 nm. */
Test(material, rows_outside_the_visible_carry_on)
{
    oxt_material *iron = published_material("iron"), *chromium = published_material("chromium");
    double share = 12.0 / 13.0;
    NEAR(creal(index_of(iron, 380.0)), 2.02 + share * 0.10, 1e-14);
    NEAR(cimag(index_of(iron, 380.0)), 2.43 + share * 0.07, 1e-14);
    NEAR(creal(index_of(chromium, 380.0)), 1.87 + share * 0.05, 1e-14);
    NEAR(cimag(index_of(chromium, 380.0)), 2.69 + share * 0.05, 1e-14);
    oxt_material_free(iron);
    oxt_material_free(chromium);
}

Test(material, own_table_is_taken_as_it_is)
{
    oxt_error error = OXT_ERROR_INIT;
    double wavelength_nm[4] = { 379.5, 500.0, 500.25, 1e6 }, n[4] = { 1e-9, 2.0, 3.0, 100.0 },
           k[4] = { 0.0, 100.0, 1.0, 0.0 };
    oxt_material *own;
    OK(oxt_material_new(&own, "own", 4, wavelength_nm, n, k, &error));
    wavelength_nm[1] = n[1] = k[1] = NAN; /* it is a copy */
    cr_assert(index_of(own, 500.0) == 2.0 + 100.0 * I);
    NEAR(creal(index_of(own, 500.125)), 2.5, 1e-14);
    NEAR(cimag(index_of(own, 500.2)), 20.8, 1e-10);
    static const double bad_nm[] = { 379.999, 780.001, NAN, -INFINITY };
    for (int i = 0; i < 4; i++) {
        double one = -7.0, two = -7.0;
        FAILS(oxt_material_index(own, bad_nm[i], &one, &two, &error), OXT_EDOMAIN);
        cr_assert(one == -7.0 && two == -7.0);
        cr_assert_str_eq(error.parameter, "wavelength_nm");
    }
    oxt_material_free(own);
    oxt_material_free(NULL);
}

/* A built-in table given as the caller's own makes the same film, bit by bit. */
Test(material, own_copy_of_a_published_table_is_the_same)
{
    oxt_error error = OXT_ERROR_INIT;
    table published = read_table("magnetite_index.csv");
    double columns[3][41], own_lab[3], lab[3];
    for (size_t i = 0; i < 41; i++)
        for (size_t j = 0; j < 3; j++)
            columns[j][i] = at(&published, i, j);
    oxt_material *own;
    OK(oxt_material_new(&own, "magnetite", 41, columns[0], columns[1], columns[2], &error));
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    const oxt_material *layers[1] = { own };
    options.layer_count = 1;
    options.layers = layers;
    oxt_film *film = film_with(&options);
    oxt_material_free(own); /* the film keeps what it needs */
    for (double x = 0.0; x < 300.0; x += 7.0) {
        OK(oxt_film_colour(film, OXT_SPACE_LAB, x, own_lab, NULL, &error));
        OK(oxt_film_colour(default_film(), OXT_SPACE_LAB, x, lab, NULL, &error));
        cr_assert_eq(memcmp(own_lab, lab, sizeof lab), 0);
    }
    oxt_film_free(film);
    free_table(&published);
}

/* One number of a good table is made bad: the error names its column and its row. */
Test(material, the_error_names_the_row_at_fault)
{
    static const struct {
        int column;
        size_t row; /* from 0 */
        double value;
    } faults[] = {
        { 0, 0, 380.5 }, { 0, 0, 0.0 },   { 0, 0, NAN },   { 0, 2, 500.0 },    { 0, 2, 450.0 },
        { 0, 3, 779.9 }, { 0, 1, 700.0 }, { 0, 3, NAN },   { 0, 3, INFINITY }, { 1, 0, 0.0 },
        { 1, 2, -1.0 },  { 1, 3, 100.1 }, { 1, 1, NAN },   { 2, 0, -1e-9 },    { 2, 3, 100.1 },
        { 2, 2, NAN },   { 2, 1, 1e300 }, { 0, 1, 380.0 },
    };
    static const char *const names[] = { "wavelength_nm", "n", "k" };
    oxt_error error = OXT_ERROR_INIT;
    for (size_t i = 0; i < sizeof faults / sizeof faults[0]; i++) {
        double columns[3][4] = { { 380.0, 500.0, 600.0, 780.0 }, { 2, 2, 2, 2 }, { 0, 1, 0, 1 } };
        oxt_material *material = (oxt_material *)&error;
        columns[faults[i].column][faults[i].row] = faults[i].value;
        FAILS(oxt_material_new(&material, "own", 4, columns[0], columns[1], columns[2], &error),
              OXT_EDOMAIN);
        cr_assert_null(material);
        cr_assert_str_eq(error.parameter, names[faults[i].column]);
        /* a wavelength that is too high is found out at the next row */
        size_t row = faults[i].value == 700.0 ? 3 : faults[i].row + 1;
        cr_assert_eq(error.row, row, "fault %zu: row %zu, %s", i, error.row, error.text);
    }
}

Test(material, names_and_sizes_have_limits)
{
    enum { MOST = 10000 };
    oxt_error error = OXT_ERROR_INIT;
    static double wavelength_nm[MOST + 1], n[MOST + 1], k[MOST + 1];
    static const char *const bad[] = { "", "a name that is one byte too long", "\xC3\x28" };
    oxt_material *material;
    for (int i = 0; i <= MOST; i++) {
        wavelength_nm[i] = 380.0 + 0.1 * i;
        n[i] = 1.5;
    }
    for (int i = 0; i < 3; i++) {
        FAILS(oxt_material_new(&material, bad[i], 9000, wavelength_nm, n, k, &error), OXT_EARG);
        cr_assert_str_eq(error.parameter, "name");
    }
    static const size_t counts[] = { 0, 1, MOST + 1 };
    for (int i = 0; i < 3; i++) {
        FAILS(oxt_material_new(&material, "own", counts[i], wavelength_nm, n, k, &error),
              OXT_EDOMAIN);
        cr_assert_str_eq(error.parameter, "count");
    }
    FAILS(oxt_material_new(&material, NULL, 9000, wavelength_nm, n, k, &error), OXT_EARG);
    FAILS(oxt_material_new(&material, "own", 9000, wavelength_nm, n, NULL, &error), OXT_EARG);
    FAILS(oxt_material_new(&material, "", 0, NULL, NULL, NULL, &error), OXT_EARG);
    cr_assert_null(material);
    OK(oxt_material_new(&material, "a name of thirty-one characters", MOST, wavelength_nm, n, k,
                        &error));
    oxt_material_free(material);
}
