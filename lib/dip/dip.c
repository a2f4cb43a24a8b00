/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Steel, target and bath -> time, window, intervals, chance, cautions; and back. */
#include <gsl/gsl_cdf.h>
#include <string.h>

#include "dip/dip.h"
#include "base/solve.h"
#include "growth/law.h"
#include "thermal/salt.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* ---- the numbers ---- */

/* How much longer a coupon takes, in parts of its time, for a part of the equivalent time more. */
static double stretch_of(const oxt_i_dip_plan *of)
{
    static const double STEP = 1e-4;
    if (!oxt_i_dip_names_coupon(of))
        return 1.0;
    return 2.0 * STEP * of->needed_s /
           (oxt_i_dip_needed_s(of, 1.0 + STEP) - oxt_i_dip_needed_s(of, 1.0 - STEP));
}

/* A part that is hot at once moves as its rate does. While another warms up it feels the bath and the
 * clock less. */
static oxt_status find_moves(const oxt_i_dip_plan *of, double time_s,
                             oxt_i_thermal_path_slopes *found, oxt_error *error)
{
    double Q = of->steel.growth.Q_J_per_mol, bath_K = of->part.bath_K;
    const double per_Q = -(1.0 / bath_K - 1.0 / of->steel.growth.T_ref_K) / R;
    oxt_status status = OXT_OK;
    double stretch = stretch_of(of);
    *found = (oxt_i_thermal_path_slopes){ per_Q, Q / (R * bath_K * bath_K), 1.0 / of->given_s };
    const oxt_i_surroundings around = oxt_i_dip_around(of);
    if (!of->part.part.at_once && time_s > 0.0)
        status = oxt_i_thermal_path_slopes_at(&of->part, oxt_i_dip_part(of), &around, time_s, found,
                                              error);
    /* Where the coupons are known, the constants hold for their thermal path as they stand. */
    if (of->options.coupon)
        found->per_Q = per_Q;
    found->per_K *= stretch;
    found->per_s *= stretch;
    return status;
}

double oxt_i_dip_by_shape(const oxt_growth *growth, double film_nm, double initial_nm)
{
    double film_nm2 = oxt_i_exposure_of(growth, film_nm);
    double initial_nm2 = oxt_i_exposure_of(growth, initial_nm);
    if (growth->law == OXT_LAW_PARABOLIC || !(film_nm2 > initial_nm2))
        return 0.0;
    double moved_nm2 = film_nm2 * oxt_i_by_shape_of(growth, film_nm);
    if (initial_nm2 > 0.0)
        moved_nm2 -= initial_nm2 * oxt_i_by_shape_of(growth, initial_nm);
    return moved_nm2 / (film_nm2 - initial_nm2);
}

double oxt_i_dip_by_initial(const oxt_steel_values *steel, double film_nm, double initial_nm)
{
    const oxt_growth *growth = &steel->growth;
    double film_nm2 = oxt_i_exposure_of(growth, film_nm);
    double initial_nm2 = oxt_i_exposure_of(growth, initial_nm);
    if (steel->initial_stderr_nm2 == 0.0 || !(film_nm2 > initial_nm2))
        return 0.0;
    double moved_nm2 = film_nm2 * oxt_i_by_initial_of(growth, film_nm);
    if (initial_nm2 > 0.0) /* it is known, and not the film before */
        moved_nm2 -= initial_nm2 * oxt_i_by_initial_of(growth, initial_nm);
    return moved_nm2 / (film_nm2 - initial_nm2) * steel->initial_stderr_nm2;
}

/* Variance by the error of the fit, those of the law's shape and of a film before among it. */
static double mean_variance(const oxt_i_dip_plan *of, const oxt_i_thermal_path_slopes *by)
{
    const oxt_steel_values *steel = &of->steel;
    double in_shape = oxt_i_dip_by_shape(&steel->growth, of->target.aim_nm, of->initial_nm) *
                      steel->ln_shape_stderr;
    double in_initial = oxt_i_dip_by_initial(steel, of->target.aim_nm, of->initial_nm);
    return fmax(steel->variance_ln_k + 2.0 * by->per_Q * steel->covariance_J_per_mol +
                    by->per_Q * by->per_Q * steel->variance_Q_J2_per_mol2,
                0.0) +
           in_shape * in_shape + in_initial * in_initial;
}

/* Other eyes see all colours of a dip begin and end earlier or later by one share of ln x, whatever the scatter. */
static double reader_variance(const oxt_i_dip_plan *of)
{
    return 4.0 * of->options.reader_sd * of->options.reader_sd;
}

/* Scatter and days are of ln x = 1/2 ln exposure. */
static double scatter_variance(const oxt_steel_values *steel)
{
    return 4.0 * (steel->scatter * steel->scatter + steel->day_sd * steel->day_sd);
}

double oxt_i_dip_initial_nm2(const oxt_growth *growth, double initial_nm, double stderr_nm)
{
    return initial_nm == 0.0 ? 0.0 : oxt_i_exposure_slope(growth, initial_nm) * stderr_nm;
}

/* Variance of one dip: scatter of the trials, what days differ by, what wanders beyond it, who judges it, and how well
 * the film already there is known. */
static double dip_variance(const oxt_i_dip_plan *of, const oxt_i_thermal_path_slopes *by)
{
    double in_time = by->per_s * of->options.time_wander_s;
    double in_bath = by->per_K * of->wander_K;
    double in_initial = oxt_i_dip_initial_nm2(&of->steel.growth, of->initial_nm,
                                              of->initial_stderr_nm) /
                        (oxt_i_dip_grown_nm2(of, of->target.aim_nm) * of->given_s / of->needed_s);
    return scatter_variance(&of->steel) + reader_variance(of) + in_time * in_time +
           in_bath * in_bath + in_initial * in_initial;
}

/* Degrees of freedom of the fit and what a dip adds to its variance, with the scatter in it or without. */
static double dof_of(const oxt_i_dip_plan *of, double fit, double dip, bool scatters)
{
    const oxt_steel_values *steel = &of->steel;
    double scatter = scatters ? scatter_variance(steel) : 0.0;
    double of_scatter = steel->scatter_dof > 0.0 ? steel->scatter_dof : steel->dof;
    return oxt_i_combined_dof(fit, steel->dof, scatter, of_scatter, dip - scatter);
}

double oxt_i_dip_next_dof(const oxt_i_dip_plan *of, const oxt_i_thermal_path_slopes *by)
{
    return dof_of(of, mean_variance(of, by), dip_variance(of, by), true);
}

/* What ln of the time may be off by: middle, variance and degrees of freedom of Student's distribution. */
typedef struct {
    double shift, variance, dof;
} doubt;

/* Of the mean time; of a dip with its scatter; and of the next one, with what wanders besides. With the exponent of time
 * free all are moved by what that leaves open. */
enum { MEAN, STEADY, NEXT, DOUBTS };

static void find_doubts(const oxt_i_dip_plan *of, const oxt_i_thermal_path_slopes *by,
                        doubt doubts[DOUBTS])
{
    const oxt_steel_values *steel = &of->steel;
    oxt_i_dip_law law = { 0.0, 0.0, false };
    if (of->options.free_exponent)
        law = oxt_i_dip_law_of(of);
    double fit = mean_variance(of, by), of_reader = reader_variance(of);
    const double dips[] = { of_reader, scatter_variance(steel), dip_variance(of, by) };
    for (int i = 0; i < DOUBTS; i++)
        doubts[i] = (doubt){ law.shift, fit + dips[i] + law.variance,
                             dof_of(of, fit, dips[i], i > MEAN) };
}

/* Of the films: as uncertain as those of coupons, however the part warms up. What adds to a doubt makes no dip surer, though
 * degrees of freedom that are combined may say so. */
static double chance_of(const oxt_i_dip_plan *of, const doubt doubts[DOUBTS])
{
    double moved = exp(doubts[NEXT].shift) * of->needed_s / of->given_s, chance = 1.0;
    double low = moved * of->low_share, high = moved * of->high_share;
    bool in_window = low <= 1.0 && high >= 1.0;
    for (int i = in_window ? MEAN : NEXT; i <= NEXT; i++)
        chance = fmin(chance, oxt_i_t_chance(low, high, sqrt(doubts[i].variance), doubts[i].dof));
    return chance;
}

/* Roots are found to some digits only: an interval holds its middle all the same. */
static void hold(double middle_s, double *low_s, double *high_s)
{
    *low_s = fmin(*low_s, middle_s);
    *high_s = fmax(*high_s, middle_s);
}

/* A limit that is farther off is infinite: few coupons and a high confidence leave none. */
static const double FARTHEST_S = 1e100;

/* How far ln of the time is off at most, with the confidence that was asked for. */
static double half_width(const oxt_i_dip_plan *of, const doubt *off)
{
    return oxt_i_t_quantile(of->options.confidence, off->dof) * sqrt(off->variance);
}

/* Times at which a dip that is off by so much reaches its aim. */
static oxt_status fill_interval(const oxt_i_dip_plan *of, const oxt_i_path_place *aim, double shift,
                                double off, double *low_s, double *high_s, oxt_error *error)
{
    double low = exp(fmin(shift - off, 0.0)), high = exp(fmax(shift + off, 0.0));
    oxt_status status = oxt_i_thermal_path_time(&of->part, oxt_i_dip_needed_s(of, low), aim, low_s,
                                                error);
    *high_s = HUGE_VAL;
    return status || of->needed_s * high > FARTHEST_S
               ? status
               : oxt_i_thermal_path_time(&of->part, oxt_i_dip_needed_s(of, high), aim, high_s,
                                         error);
}

/* The time by the exponent of the trials themselves; or by the parabolic law where a card by another one has no trials. */
static oxt_status fill_law(const oxt_i_dip_plan *of, const oxt_i_path_place *aim, oxt_dip *dip,
                           oxt_error *error)
{
    bool by_exponent = of->steel.time_exponent_stderr > 0.0;
    oxt_i_dip_law law = by_exponent ? oxt_i_dip_law_of(of) : oxt_i_dip_rival_of(of);
    dip->law_time_s = dip->time_s;
    if ((!by_exponent && !law.matters) || of->needed_s == 0.0)
        return OXT_OK;
    if (law.matters)
        dip->cautions |= OXT_CAUTION_OTHER_LAW;
    return oxt_i_thermal_path_time(&of->part, oxt_i_dip_needed_s(of, exp(law.shift)), aim,
                                   &dip->law_time_s, error);
}

static oxt_status fill_window(const oxt_i_dip_plan *of, oxt_i_path_place *aim, oxt_dip *dip,
                              oxt_error *error)
{
    oxt_status status = oxt_i_thermal_path_find(&of->part, of->needed_s, NULL, aim, error);
    dip->time_s = aim->time_s;
    if (!status)
        status = oxt_i_thermal_path_time(&of->part, of->needed_low_s, aim, &dip->earliest_s, error);
    if (!status)
        status = oxt_i_thermal_path_time(&of->part, of->needed_high_s, aim, &dip->latest_s, error);
    hold(dip->time_s, &dip->earliest_s, &dip->latest_s);
    if (!status && dip->time_s > OXT_TIME_HIGH_S)
        return oxt_i_fail(error, OXT_EUNREACHABLE, "load_kg", of->options.load_kg, NAN, NAN,
                          "%s would take longer than %g s: the load cools the bath too far",
                          of->target.text, OXT_TIME_HIGH_S);
    return status;
}

/* More coupons help against the error of the fit, and not against other eyes. */
static oxt_status judge_fit(const oxt_i_dip_plan *of, const oxt_i_path_place *aim, oxt_dip *dip,
                            const doubt *mean, oxt_error *error)
{
    double low_s = dip->interval_low_s, high_s = dip->interval_high_s;
    oxt_status status = OXT_OK;
    if (of->options.reader_sd > 0.0) {
        const doubt fit = { mean->shift, mean->variance - reader_variance(of), of->steel.dof };
        status = fill_interval(of, aim, fit.shift, half_width(of, &fit), &low_s, &high_s, error);
    }
    if (!status && high_s - low_s > dip->latest_s - dip->earliest_s)
        dip->cautions |= OXT_CAUTION_LOOSE_FIT;
    return status;
}

static oxt_status fill_intervals(const oxt_i_dip_plan *of, const oxt_i_path_place *aim,
                                 oxt_dip *dip, oxt_i_thermal_path_slopes *by, oxt_error *error)
{
    oxt_status status = find_moves(of, dip->time_s, by, error);
    if (status)
        return status;
    doubt doubts[DOUBTS];
    find_doubts(of, by, doubts);
    double shift = doubts[MEAN].shift, of_mean = half_width(of, &doubts[MEAN]);
    double of_next = fmax(fmax(half_width(of, &doubts[NEXT]), half_width(of, &doubts[STEADY])),
                          of_mean);
    status = fill_interval(of, aim, shift, of_mean, &dip->interval_low_s, &dip->interval_high_s,
                           error);
    if (!status)
        status = fill_interval(of, aim, shift, of_next, &dip->next_low_s, &dip->next_high_s, error);
    hold(dip->time_s, &dip->interval_low_s, &dip->interval_high_s);
    hold(dip->time_s, &dip->next_low_s, &dip->next_high_s);
    if (!status)
        dip->chance = chance_of(of, doubts);
    return status ? status : judge_fit(of, aim, dip, &doubts[MEAN], error);
}

/* How the time comes about: heating up before, growth after the lift. */
static void fill_growth(const oxt_i_dip_plan *of, oxt_dip *dip)
{
    double lift_s = oxt_i_thermal_path_lift_equivalent(&of->part, dip->time_s);
    double share = fmin(lift_s / of->given_s, 1.0);
    dip->lag_s = fmax(oxt_i_thermal_path_lag(&of->part, dip->time_s), 0.0);
    /* the aim itself, not its rounded root */
    dip->quench_nm = of->given_s > of->needed_s ? oxt_i_dip_film_nm(of, of->given_s)
                                                : of->target.aim_nm;
    const oxt_growth *growth = &of->steel.growth;
    double film_nm2 = oxt_i_exposure_of(growth, dip->quench_nm);
    double grown_nm2 = film_nm2 - oxt_i_exposure_of(growth, of->initial_nm);
    dip->lift_growth_nm = dip->quench_nm - oxt_i_film_of(growth, film_nm2 - share * grown_nm2);
}

/* How much sooner the same part comes out when it is warmed to the melting point of the salt first. */
static oxt_status fill_crust(const oxt_i_dip_plan *of, oxt_dip *dip, oxt_error *error)
{
    oxt_part warm = OXT_PART_INIT;
    oxt_i_thermal_path path;
    const oxt_i_surroundings around = oxt_i_dip_around(of);
    double time_s;
    dip->crust_s = oxt_i_heating_crust_s(&of->part.part);
    if (dip->crust_s == 0.0)
        return OXT_OK;
    oxt_status status = OXT_I_STRUCT_IN(oxt_part, &warm, oxt_i_dip_part(of), "part", error);
    warm.start_K = oxt_i_salt_melting_K(of->bath.salt);
    if (!status)
        status = oxt_i_thermal_path_prepare(&path, &of->steel.growth, &warm, &of->part.lift,
                                            of->part.bath_K, &around, error);
    if (!status)
        status = oxt_i_thermal_path_time(&path, of->needed_s, NULL, &time_s, error);
    if (!status)
        dip->preheat_saves_s = fmax(dip->time_s - time_s, 0.0);
    return status;
}

/* The film already there is at the aim or past it: nothing is left to do. */
static double chance_as_it_is(const oxt_i_dip_plan *of)
{
    const oxt_growth *growth = &of->steel.growth;
    double deviation = of->initial_stderr_nm, at_nm = of->initial_nm;
    if (at_nm == 0.0) { /* none is named: the one of the trials */
        at_nm = growth->initial_nm;
        deviation = oxt_i_initial_stderr_nm(growth, of->steel.initial_stderr_nm2);
    }
    if (deviation == 0.0)
        return 1.0;
    return gsl_cdf_ugaussian_P((of->target.high_nm - at_nm) / deviation) -
           gsl_cdf_ugaussian_P((of->target.low_nm - at_nm) / deviation);
}

/* Does the dip soften a part whose last temper is known? The temper was checked before. */
static bool softens(const oxt_dip_options *options, double time_s, double bath_K)
{
    oxt_temper_options known = OXT_TEMPER_OPTIONS_INIT;
    oxt_temper temper = OXT_TEMPER_INIT;
    known.last_K = options->last_temper_K;
    known.last_s = options->last_temper_s;
    return time_s > 0.0 && !oxt_temper_dip(bath_K, time_s, &known, &temper, NULL) &&
           temper.softens == 1;
}

/* Those that the bath alone brings about. */
static uint32_t bath_cautions(const oxt_i_dip_plan *of, double time_s)
{
    uint32_t cautions = oxt_i_salt_cautions(of->bath.salt, of->part.bath_K);
    return softens(&of->options, time_s, of->part.bath_K) ? cautions | OXT_CAUTION_HARDENED
                                                          : cautions;
}

const oxt_caution_info *oxt_i_dip_bar(uint32_t cautions)
{
    const oxt_caution_info *first = oxt_caution_get(cautions);
    bool bars = first->kind == OXT_CAUTION_KIND_FORBIDS || first->bit == OXT_CAUTION_BELOW_MELTING;
    return bars ? first : NULL;
}

uint32_t oxt_i_target_cautions(const oxt_target *target, const oxt_steel_values *steel)
{
    uint32_t cautions = steel->cautions & OXT_CAUTION_BROKEN_PROMISES;
    if (steel->trial_count == 0 || target->aim_nm < steel->thickness_low_nm ||
        target->aim_nm > steel->thickness_high_nm)
        cautions |= OXT_CAUTION_EXTRAPOLATED_FILM;
    if (isfinite(target->other_nm))
        cautions |= OXT_CAUTION_OTHER_ORDER;
    if (target->description[0] && steel->description[0] &&
        strcmp(target->description, steel->description) != 0)
        cautions |= OXT_CAUTION_OTHER_OPTICS;
    return cautions;
}

/* What a coupon that is named for the dip lost of its own time is in the constants. Naming it does not take that out; it
 * shows where the part takes another time than the coupon. */
static bool coupon_matters(const oxt_i_dip_plan *of, double time_s)
{
    double own_s = oxt_i_dip_grown_nm2(of, of->target.aim_nm) / of->coupon.rate_nm2_per_s;
    return oxt_i_dip_names_coupon(of) && oxt_i_coupon_matters(own_s, time_s);
}

static uint32_t all_cautions(const oxt_i_dip_plan *of, const oxt_dip *dip)
{
    const oxt_target *target = &of->target;
    const oxt_steel_values *steel = &of->steel;
    double bath_K = of->part.bath_K;
    uint32_t cautions = bath_cautions(of, dip->time_s);
    if (of->part.part.coupled && oxt_i_sags(bath_K - of->part.part.course.lowest_K))
        cautions |= OXT_CAUTION_SAG;
    if (of->usual.part_source == OXT_PATH_INSIDE || of->usual.lift_source == OXT_PATH_INSIDE)
        cautions |= OXT_CAUTION_AT_TEMPERATURE;
    if (dip->part_shape == OXT_SHAPE_ANY && dip->part_size_m > 0.0)
        cautions |= OXT_CAUTION_UNEVEN;
    if (of->usual.unknown || coupon_matters(of, dip->time_s))
        cautions |= OXT_CAUTION_COUPONS_UNKNOWN;
    bool untried = steel->trial_count == 0; /* every dip is outside of no trials */
    double coldest_K = of->part.part.coupled ? fmin(of->part.part.course.lowest_K, bath_K) : bath_K;
    if (untried || coldest_K < steel->bath_low_K || bath_K > steel->bath_high_K)
        cautions |= OXT_CAUTION_EXTRAPOLATED_BATH;
    cautions |= oxt_i_target_cautions(target, steel);
    if (dip->latest_s - dip->earliest_s < OXT_I_SHORTEST_WINDOW_S)
        cautions |= OXT_CAUTION_SHORT_WINDOW;
    return cautions;
}

/* "2 mm plate, 4 s to the quench, as the coupons". */
static void write_part(const oxt_dip *dip, char *buffer, size_t capacity)
{
    oxt_part part = OXT_PART_INIT;
    char size[64], lift[80] = "";
    part.shape = dip->part_shape;
    part.size_m = dip->part_size_m;
    if (dip->part_source == OXT_PATH_INSIDE)
        oxt_i_copy_text(size, sizeof size, "like the coupons");
    else
        oxt_i_part_text(&part, size, sizeof size);
    bool of_coupon = dip->part_source == OXT_PATH_COUPON;
    bool both = of_coupon && dip->lift_source == OXT_PATH_COUPON;
    if (dip->lift_s > 0.0)
        oxt_i_snprintf(lift, sizeof lift, "%s %s to the quench%s",
                       dip->part_source == dip->lift_source ? "," : ";",
                       oxt_i_show_time(dip->lift_s).text,
                       dip->lift_source == OXT_PATH_COUPON ? ", as the coupons" : "");
    oxt_i_snprintf(buffer, capacity, "%s%s%s", size,
                   of_coupon && !(both && dip->lift_s > 0.0) ? ", as the coupons" : "", lift);
}

static void fill_path(const oxt_i_dip_plan *of, oxt_dip *dip)
{
    oxt_part known = OXT_PART_INIT; /* checked when its path was prepared */
    const oxt_part *part = oxt_i_dip_part(of);
    dip->part_source = of->usual.part_source;
    dip->lift_source = of->usual.lift_source;
    dip->lift_s = of->part.lift.delay_s;
    if (part && !OXT_I_STRUCT_IN(oxt_part, &known, part, "part", NULL)) {
        dip->part_shape = known.shape;
        dip->part_size_m = known.size_m;
    }
    if (of->part.part.coupled)
        dip->sag_K = fmax(0.0, of->part.bath_K - of->part.part.course.lowest_K);
    write_part(dip, dip->part_text, sizeof dip->part_text);
}

/* ---- predicting ---- */

oxt_status oxt_i_dip_fill(const oxt_i_dip_plan *of, oxt_dip *dip, oxt_i_thermal_path_slopes *moves,
                          oxt_error *error)
{
    oxt_i_thermal_path_slopes found = { 0.0, 0.0, 0.0 };
    oxt_i_path_place aim;
    *dip = (oxt_dip)OXT_DIP_INIT;
    dip->bath_K = of->part.bath_K - of->bath.thermometer_offset_K;
    dip->target = of->target;
    dip->confidence = of->options.confidence;
    dip->initial_nm = dip->quench_nm = fmax(of->initial_nm, of->steel.growth.initial_nm);
    fill_path(of, dip);
    oxt_status status = fill_window(of, &aim, dip, error);
    if (of->needed_s == 0.0)
        dip->chance = chance_as_it_is(of);
    else if (!status)
        status = fill_intervals(of, &aim, dip, &found, error);
    if (!status && of->needed_s > 0.0)
        fill_growth(of, dip);
    if (!status && of->needed_s > 0.0)
        status = fill_crust(of, dip, error);
    if (dip->crust_s > dip->time_s)
        dip->cautions |= OXT_CAUTION_CRUST;
    dip->coupon_time_s = status ? 0.0 : oxt_i_dip_coupon_time_s(of, dip->quench_nm);
    if (!status)
        dip->cautions |= all_cautions(of, dip);
    if (!status)
        status = fill_law(of, &aim, dip, error);
    if (moves)
        *moves = found;
    return status;
}

oxt_status oxt_i_dip_chance(const oxt_i_dip_plan *of, double *time_s, double *chance, bool *barred,
                            oxt_error *error)
{
    oxt_i_thermal_path_slopes by;
    doubt doubts[DOUBTS];
    oxt_status status = oxt_i_thermal_path_time(&of->part, of->needed_s, NULL, time_s, error);
    if (!status && of->needed_s > 0.0)
        status = find_moves(of, *time_s, &by, error);
    if (status)
        return status;
    if (of->needed_s > 0.0)
        find_doubts(of, &by, doubts);
    *chance = of->needed_s > 0.0 ? chance_of(of, doubts) : chance_as_it_is(of);
    *barred = oxt_i_dip_bar(bath_cautions(of, *time_s)) != NULL;
    return OXT_OK;
}

oxt_status oxt_dip_predict(const oxt_steel *steel, const oxt_target *target, double bath_K,
                           const oxt_dip_options *options, oxt_dip *dip, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_i_dip_plan of;
    oxt_dip made;
    if (!dip)
        return oxt_i_null(error, "dip");
    oxt_status status = oxt_i_dip_prepare(&of, steel, target, bath_K, options, error);
    if (!status)
        status = oxt_i_dip_fill(&of, &made, NULL, error);
    return status ? status : OXT_I_STRUCT_OUT(oxt_dip, dip, &made, "dip", error);
}

/* ---- bath for a time ---- */

typedef struct {
    oxt_i_dip_plan *of;
    double time_s;
} wanted_time;

static double time_left(double bath_K, void *context)
{
    const wanted_time *wanted = context;
    double time_s;
    if (oxt_i_dip_paths(wanted->of, bath_K, NULL) ||
        oxt_i_thermal_path_time(&wanted->of->part, wanted->of->needed_s, NULL, &time_s, NULL))
        return NAN;
    return time_s - wanted->time_s;
}

/* No bath below this is hotter than what goes in. */
static double coldest_bath_K(const oxt_i_dip_plan *of)
{
    double coldest_K = OXT_BATH_LOW_K;
    if (of->options.part)
        coldest_K = fmax(coldest_K, of->options.part->start_K);
    if (of->options.coupon)
        coldest_K = fmax(coldest_K, of->options.coupon->start_K);
    return coldest_K;
}

/* A coupon that grows the film while it is still cold ends the search: the hotter the bath, the sooner it
 * would have to. Checks parts and lifts too. */
static oxt_status find_hottest(oxt_i_dip_plan *of, double low_K, double *hottest_K,
                               oxt_error *error)
{
    double high_K = OXT_BATH_HIGH_K;
    *hottest_K = high_K;
    oxt_status status = oxt_i_dip_paths(of, high_K, error);
    if (!status || !of->options.coupon)
        return status;
    status = oxt_i_dip_paths(of, low_K, error);
    for (int i = 0; i < 40 && !status; i++) {
        double middle_K = 0.5 * (low_K + high_K);
        bool holds = !oxt_i_dip_paths(of, middle_K, NULL);
        low_K = holds ? middle_K : low_K;
        high_K = holds ? high_K : middle_K;
    }
    *hottest_K = low_K;
    return status;
}

static oxt_status search_bath(oxt_i_dip_plan *of, double time_s, double *bath_K, oxt_error *error)
{
    wanted_time wanted = { of, time_s };
    double low_K = coldest_bath_K(of), high_K;
    oxt_status status = find_hottest(of, low_K, &high_K, error);
    if (status)
        return status;
    bool too_short = time_left(high_K, &wanted) > 0.0;
    if (too_short && high_K < OXT_BATH_HIGH_K)
        return oxt_i_fail(error, OXT_EUNREACHABLE, "time_s", time_s, NAN, NAN,
                          "%s in %g s would take a bath in which the coupon is still cold by then, "
                          "expected one from %s to %s",
                          of->target.text, time_s, oxt_i_mark(OXT_BATH_LOW_K, NULL).text,
                          oxt_i_mark(OXT_BATH_HIGH_K, NULL).text);
    if (too_short || time_left(low_K, &wanted) < 0.0)
        return oxt_i_fail(error, OXT_EUNREACHABLE, "time_s", time_s, NAN, NAN,
                          "%s in %g s would take a bath %s%s%s, expected one from %s to %s",
                          of->target.text, time_s, too_short ? "above " : "below ",
                          oxt_i_mark(too_short ? OXT_BATH_HIGH_K : OXT_BATH_LOW_K, NULL).text,
                          too_short ? "" : ", or colder than the part",
                          oxt_i_mark(OXT_BATH_LOW_K, NULL).text,
                          oxt_i_mark(OXT_BATH_HIGH_K, NULL).text);
    return oxt_i_find_root(time_left, &wanted, low_K, high_K, 1e-10, bath_K, error);
}

oxt_status oxt_dip_for_time(const oxt_steel *steel, const oxt_target *target, double time_s,
                            const oxt_dip_options *options, oxt_dip *dip, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_i_dip_plan of;
    oxt_dip made;
    double found_K;
    if (!dip)
        return oxt_i_null(error, "dip");
    oxt_status status = oxt_i_dip_take(&of, steel, target, options, error);
    if (!status)
        status = oxt_i_check(error, "time_s", time_s, 0.0, OXT_TIME_HIGH_S, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "Q_J_per_mol", of.steel.growth.Q_J_per_mol, 0.0, HUGE_VAL,
                             OXT_I_OPEN_LOW);
    if (!status)
        status = search_bath(&of, time_s, &found_K, error);
    if (!status)
        status = oxt_i_dip_paths(&of, found_K, error);
    if (!status)
        status = oxt_i_dip_fill(&of, &made, NULL, error);
    return status ? status : OXT_I_STRUCT_OUT(oxt_dip, dip, &made, "dip", error);
}
