/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A logged temperature as CSV: exposures of adjoining stretches add, and tempers can be reported. */
#include "fuzz.h"

static void check_history(const oxt_history *history)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = OXT_GROWTH_INIT;
    size_t count = 0;
    double whole, first, second;
    growth.k_ref_nm2_per_s = 30.0;
    growth.T_ref_K = 588.7;
    growth.Q_J_per_mol = 76e3;
    MUST(oxt_history_samples(history, 0, NULL, 0, NULL, 0, &count, &error) == OXT_OK && count >= 2,
         "%zu samples", count);
    double *times_s = calloc(2 * count, sizeof *times_s);
    MUST(times_s, "out of memory");
    MUST(oxt_history_samples(history, count, times_s, sizeof *times_s, times_s + count,
                             sizeof *times_s, &count, &error) == OXT_OK,
         "%s", error.text);
    double from_s = times_s[0], middle_s = times_s[count / 2], to_s = times_s[count - 1];
    free(times_s);
    MUST(from_s <= middle_s && middle_s <= to_s, "times fall");
    oxt_status status = oxt_history_exposure(history, &growth, from_s, to_s, &whole, &error);
    SAYS_WHY(status, error);
    if (status == OXT_OK && middle_s > from_s && middle_s < to_s &&
        oxt_history_exposure(history, &growth, from_s, middle_s, &first, &error) == OXT_OK &&
        oxt_history_exposure(history, &growth, middle_s, to_s, &second, &error) == OXT_OK)
        MUST(whole >= 0.0 && fabs(first + second - whole) <= 1e-6 * whole,
             "%.17g and %.17g are %.17g", first, second, whole);
    oxt_temper_options options = OXT_TEMPER_OPTIONS_INIT;
    oxt_temper temper = OXT_TEMPER_INIT;
    options.steel = "1095";
    options.last_K = 480.0;
    options.last_s = 7200.0;
    status = oxt_temper_history(history, &options, &temper, &error);
    SAYS_WHY(status, error);
    if (status == OXT_OK)
        PRINTS(oxt_temper_report(&temper, OXT_UNIT_CELSIUS, OXT_CAUTION_WHOLE, buffer, capacity,
                                 needed, &error));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_history *history;
    oxt_faults *faults = NULL;
    double gap_s = size ? data[0] : 0.0;
    oxt_status status = oxt_history_read_csv(&history, NULL, (const char *)data + (size > 0),
                                             size - (size > 0), gap_s, &faults, &error);
    SAYS_WHY(status, error);
    MUST((status == OXT_OK) == (history != NULL), "a handle with a failure");
    if (status == OXT_EPARSE && faults)
        PRINTS(oxt_faults_report(faults, buffer, capacity, needed, &error));
    if (history)
        check_history(history);
    oxt_faults_free(faults);
    oxt_history_free(history);
    return 0;
}
