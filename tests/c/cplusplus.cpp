/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A C++ program that uses the library: compiled, linked and run by test_headers.c. */
#include <oxtint.h>

#include <cmath>
#include <cstdio>
#include <cstring>

static bool predicts_a_dip(const oxt_film *film)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    oxt_target target = OXT_TARGET_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    oxt_steel *steel = nullptr;
    std::strcpy(values.steel, "Alder 1");
    values.growth.k_ref_nm2_per_s = 10.0;
    values.growth.T_ref_K = 573.15;
    values.growth.Q_J_per_mol = 80e3;
    values.dof = 5.0;
    values.bath_low_K = 550.0;
    values.bath_high_K = 620.0;
    values.thickness_low_nm = 20.0;
    values.thickness_high_nm = 90.0;
    oxt_status status = oxt_steel_new(&steel, &values, &error);
    if (status == OXT_OK)
        status = oxt_tint_target(film, "blue", &target, &error);
    if (status == OXT_OK)
        status = oxt_dip_predict(steel, &target, 573.15, &options, &dip, &error);
    oxt_steel_free(steel);
    double thickness_nm = 0.0;
    if (status == OXT_OK)
        status = oxt_thickness(&values.growth, 573.15, dip.time_s, &thickness_nm, &error);
    if (status != OXT_OK)
        std::puts(error.text);
    return status == OXT_OK && std::fabs(thickness_nm - target.aim_nm) < 1e-9 &&
           (dip.cautions & OXT_CAUTION_MOLTEN_SALT) != 0;
}

int main()
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    oxt_trial trial = OXT_TRIAL_INIT;
    oxt_fault fault = OXT_FAULT_INIT;
    oxt_fit_options fit_options = OXT_FIT_OPTIONS_INIT;
    oxt_fit_values fit_values = OXT_FIT_VALUES_INIT;
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_laws_options laws_options = OXT_LAWS_OPTIONS_INIT;
    oxt_laws_values laws_values = OXT_LAWS_VALUES_INIT;
    oxt_law_result law = OXT_LAW_RESULT_INIT;
    oxt_fit_row row = OXT_FIT_ROW_INIT;
    oxt_match match = OXT_MATCH_INIT;
    oxt_match_options match_options = OXT_MATCH_OPTIONS_INIT;
    oxt_film *film = nullptr;
    bool good = oxt_film_new(&film, &options, &error) == OXT_OK &&
                oxt_tint_find(film, "blue", &tint, &error) == OXT_OK &&
                std::strcmp(tint.name, "blue") == 0 && predicts_a_dip(film);
    oxt_film_free(film);
    good = good && trial.struct_size == sizeof trial && fault.struct_size == sizeof fault &&
           fit_options.struct_size == sizeof fit_options &&
           fit_values.struct_size == sizeof fit_values && row.struct_size == sizeof row &&
           laws_options.struct_size == sizeof laws_options &&
           laws_values.struct_size == sizeof laws_values && law.struct_size == sizeof law &&
           prior.struct_size == sizeof prior && match.struct_size == sizeof match &&
           match_options.struct_size == sizeof match_options;
    double temperature_K = 0.0;
    good = good && oxt_parse_temperature("650", &temperature_K, &error) == OXT_EUNIT &&
           error.text[0] != '\0';
    std::printf("%s %s\n", oxt_version(), good ? "good" : "bad");
    return good ? 0 : 1;
}
