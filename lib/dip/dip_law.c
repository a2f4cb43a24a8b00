/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A dip away from the middle film of the trials, where these do not grow as the root of time. */
#include "dip/dip.h"
#include "growth/law.h"

/* ln of the time for a film by x^n over that by x^2, both alike at the middle film, on a film that is there. */
static double ln_ratio(const oxt_i_dip_plan *of, double middle_nm, double n)
{
    const oxt_growth *growth = &of->steel.growth;
    double film = oxt_i_equal_nm(growth, of->target.aim_nm) / middle_nm;
    double there = oxt_i_equal_nm(growth, of->initial_nm) / middle_nm;
    return log((pow(film, n) - pow(there, n)) / (film * film - there * there));
}

double oxt_i_dip_middle_nm(const oxt_steel_values *steel)
{
    double middle_nm = steel->middle_nm;
    if (middle_nm == 0.0)
        middle_nm = sqrt(steel->thickness_low_nm * steel->thickness_high_nm);
    return oxt_i_equal_nm(&steel->growth, middle_nm);
}

oxt_i_dip_law oxt_i_dip_law_of(const oxt_i_dip_plan *of)
{
    static const double STEP = 1e-3, MATTERS = 0.05;
    const oxt_steel_values *steel = &of->steel;
    double weight = 1.0 / (OXT_I_USUAL_EXPONENT_SD * OXT_I_USUAL_EXPONENT_SD);
    double m = OXT_I_USUAL_EXPONENT, middle_nm = oxt_i_dip_middle_nm(steel);
    if (steel->time_exponent_stderr > 0.0) {
        double of_trials = 1.0 / (steel->time_exponent_stderr * steel->time_exponent_stderr);
        m = (weight * OXT_I_USUAL_EXPONENT + of_trials * steel->time_exponent) /
            (weight + of_trials);
        weight += of_trials;
    }
    oxt_i_dip_law made = { 0.0, 0.0, false };
    if (!(of->target.aim_nm > of->initial_nm))
        return made;
    made.shift = ln_ratio(of, middle_nm, 1.0 / m);
    double slope = (ln_ratio(of, middle_nm, 1.0 / (m + STEP)) -
                    ln_ratio(of, middle_nm, 1.0 / (m - STEP))) /
                   (2.0 * STEP);
    made.variance = slope * slope / weight;
    made.matters = fabs(made.shift) > MATTERS &&
                   oxt_i_law_is_bent(steel->time_exponent, steel->time_exponent_stderr, steel->dof);
    return made;
}

oxt_i_dip_law oxt_i_dip_rival_of(const oxt_i_dip_plan *of)
{
    static const double MATTERS = 0.05;
    const oxt_steel_values *steel = &of->steel;
    double film_nm = of->target.aim_nm, there_nm = of->initial_nm;
    oxt_i_dip_law made = { 0.0, 0.0, false };
    bool covered = film_nm >= steel->thickness_low_nm && film_nm <= steel->thickness_high_nm;
    if (covered || steel->growth.law == OXT_LAW_PARABOLIC || !(film_nm > there_nm))
        return made;
    double own_nm2 = oxt_i_exposure_of(&steel->growth, film_nm) -
                     oxt_i_exposure_of(&steel->growth, there_nm);
    made.shift = log((film_nm * film_nm - there_nm * there_nm) / own_nm2);
    made.matters = fabs(made.shift) > MATTERS;
    return made;
}
