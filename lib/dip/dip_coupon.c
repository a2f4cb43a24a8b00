/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The coupons of the trials: their part and lift in a dip, and their equivalent times. */
#include "trials/trial.h"
#include "steel/steel.h"
#include "dip/dip.h"

oxt_status oxt_i_take_usual(oxt_i_usual *usual, const oxt_steel_values *steel,
                            const oxt_part **part, const oxt_lift **lift, const oxt_part *coupon,
                            const oxt_lift *coupon_lift, oxt_error *error)
{
    bool stated = oxt_i_steel_coupon(steel, &usual->part, &usual->lift);
    usual->part_source = *part              ? OXT_PATH_NAMED
                         : stated || coupon ? OXT_PATH_COUPON
                                            : OXT_PATH_INSIDE;
    usual->lift_source = *lift                   ? OXT_PATH_NAMED
                         : stated || coupon_lift ? OXT_PATH_COUPON
                                                 : OXT_PATH_INSIDE;
    usual->unknown = !stated && ((*part && !coupon) || (*lift && !coupon_lift));
    if (!stated)
        return OXT_OK;
    if (coupon || coupon_lift) {
        char own[96];
        oxt_i_path_text(&usual->part, &usual->lift, own, sizeof own);
        return oxt_i_fail_text(error, OXT_EARG, coupon ? "coupon" : "coupon_lift",
                               "the constants of %s stand for the steel itself: the fit included "
                               "how its coupons heated up and were quenched (%s); name only the "
                               "part, no coupon",
                               steel->steel, own);
    }
    if (!*part && usual->part.size_m > 0.0)
        *part = &usual->part;
    if (!*lift && usual->lift.delay_s > 0.0)
        *lift = &usual->lift;
    return OXT_OK;
}

/* ---- equivalent times ---- */

/* A coupon that was lifted while it had gained less than this share of its time had no film to see. */
static const double LEAST_SHARE = 0.01;

bool oxt_i_coupon_matters(double coupon_s, double time_s)
{
    return fabs(coupon_s - time_s) > 0.05 * coupon_s;
}

/* Equivalent time of a film on a coupon of the trials; refused for an aim that it cannot have had. */
static oxt_status coupon_equivalent(const oxt_i_thermal_path *coupon, double film_nm, bool is_aim,
                                    double *equivalent_s, oxt_error *error)
{
    double time_s;
    oxt_status status = oxt_time_for_thickness(coupon->growth, film_nm, coupon->bath_K, &time_s,
                                               error);
    if (status)
        return status;
    *equivalent_s = oxt_i_thermal_path_equivalent(coupon, time_s);
    if (!is_aim || *equivalent_s >= LEAST_SHARE * time_s)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EDOMAIN, "coupon", *equivalent_s, LEAST_SHARE * time_s, NAN,
                      "by this card a coupon grows %.1f nm in %s at %s, when the one named is "
                      "still cold: expected a thinner coupon",
                      film_nm, oxt_i_show_time(time_s).text, oxt_i_mark(coupon->bath_K, NULL).text);
}

oxt_status oxt_i_coupon_needed(const oxt_i_thermal_path *coupon, double there_nm, double film_nm,
                               bool is_aim, double *equivalent_s, oxt_error *error)
{
    double there_s = 0.0, wanted_s = 0.0;
    *equivalent_s = 0.0;
    if (film_nm <= coupon->growth->initial_nm)
        return OXT_OK;
    oxt_status status = coupon_equivalent(coupon, film_nm, is_aim, &wanted_s, error);
    if (!status && there_nm > 0.0)
        status = coupon_equivalent(coupon, there_nm, false, &there_s, error);
    *equivalent_s = fmax(wanted_s - there_s, 0.0);
    return status;
}

double oxt_i_dip_coupon_time_s(const oxt_i_dip_plan *of, double film_nm)
{
    double time_s;
    if (of->steel.basis == OXT_BASIS_STEEL ||
        oxt_time_for_thickness(of->coupon.growth, film_nm, of->coupon.bath_K, &time_s, NULL) ||
        time_s > OXT_TIME_HIGH_S)
        return 0.0;
    return time_s;
}

oxt_status oxt_dip_equivalent_time(const oxt_steel *steel, const oxt_trial *trial,
                                   double *equivalent_s, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_steel_values card = OXT_STEEL_VALUES_INIT;
    oxt_trial known = OXT_TRIAL_INIT;
    oxt_part part;
    oxt_lift lift;
    oxt_i_thermal_path path;
    double found_s;
    if (!trial || !equivalent_s)
        return oxt_i_null(error, trial ? "equivalent_s" : "trial");
    oxt_status status = oxt_steel_get(steel, &card, error);
    if (!status)
        status = OXT_I_STRUCT_IN(oxt_trial, &known, trial, "trial", error);
    if (!status)
        status = oxt_i_check_done(&known, error);
    if (status)
        return status;
    found_s = known.time_s;
    if (card.basis == OXT_BASIS_STEEL) {
        oxt_i_fill_coupon(&known, &card);
        oxt_i_trial_path(&known, &part, &lift);
        status = oxt_i_thermal_path_prepare(&path, &card.growth, &part, &lift, known.bath_K, NULL,
                                            error);
        if (!status)
            found_s = oxt_i_thermal_path_equivalent(&path, known.time_s);
    }
    if (!status)
        *equivalent_s = found_s;
    return status;
}
