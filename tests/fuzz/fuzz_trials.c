/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log of trials as CSV: what is read is written and read again as the same; faults are all there. */
#include "fuzz.h"

static void check_log(const oxt_trials *log)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *again;
    char *first, *second;
    TEXT_OF(first, oxt_trials_write_csv_text(log, buffer, capacity, needed, &error));
    oxt_status status = oxt_trials_read_csv(&again, NULL, first, strlen(first), NULL, NULL, &error);
    MUST(status == OXT_OK, "a written log cannot be read: %s\n%s", error.text, first);
    MUST(oxt_trials_count(again) == oxt_trials_count(log), "rows were lost");
    TEXT_OF(second, oxt_trials_write_csv_text(again, buffer, capacity, needed, &error));
    MUST(strcmp(first, second) == 0, "%s\n%s", first, second);
    free(first);
    free(second);
    for (size_t i = 0; i < oxt_trials_count(log); i++) {
        oxt_trial trial = OXT_TRIAL_INIT, copy = OXT_TRIAL_INIT;
        MUST(oxt_trials_get(log, i, &trial, &error) == OXT_OK, "%s", error.text);
        MUST(oxt_trials_get(again, i, &copy, &error) == OXT_OK, "%s", error.text);
        MUST(trial.bath_K == copy.bath_K && trial.time_s == copy.time_s && trial.seen == copy.seen,
             "row %zu changed", i);
        PRINTS(oxt_trials_text(log, "note", i, buffer, capacity, needed, &error));
    }
    oxt_trials_free(again);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    oxt_faults *faults = NULL;
    oxt_status status = oxt_trials_read_csv(&log, NULL, (const char *)data, size, NULL, &faults,
                                            &error);
    SAYS_WHY(status, error);
    MUST((status == OXT_OK) == (log != NULL), "a handle with a failure");
    if (status == OXT_EPARSE && faults) {
        MUST(oxt_faults_count(faults) > 0, "no fault is named: %s", error.text);
        for (size_t i = 0; i < oxt_faults_count(faults); i++) {
            oxt_fault fault = OXT_FAULT_INIT;
            MUST(oxt_faults_get(faults, i, &fault, &error) == OXT_OK, "%s", error.text);
        }
        PRINTS(oxt_faults_report(faults, buffer, capacity, needed, &error));
    }
    if (log)
        check_log(log);
    oxt_faults_free(faults);
    oxt_trials_free(log);
    return 0;
}
