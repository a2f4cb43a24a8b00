/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of a dip, for the plans of several dips. */
#ifndef OXTINT_LIB_DIP_H
#define OXTINT_LIB_DIP_H

#include "oxtint/dip.h"
#include "thermal/thermal_path.h"

/* The usual coupon of a card, as a part and a lift. */
typedef struct {
    oxt_part part;
    oxt_lift lift;
    oxt_path_source part_source, lift_source; /* of what was chosen */
    bool unknown; /* what the chosen part or lift differs from: neither card nor caller states it */
} oxt_i_usual;

/* What a dip is computed from. */
typedef struct {
    oxt_steel_values steel;
    oxt_dip_options options;
    oxt_target target;
    double initial_nm, initial_stderr_nm; /* film already there */
    oxt_bath bath;
    double wander_K; /* of the bath, thermometer included */
    oxt_i_usual usual;
    oxt_i_thermal_path part, coupon;
    double needed_s; /* equivalent time for the aim, and for the ends of the window */
    double needed_low_s, needed_high_s;
    double low_share, high_share; /* what those ends take of a coupon, over what the aim takes */
    double
        given_s; /* equivalent time that it gives: more than needed where the lift alone gives more */
} oxt_i_dip_plan;

/* The coupons (dip_coupon.c). */

/* Choose part and lift, NULL where none was named: those of the card, where it states them; then no coupon
 * may be named. */
oxt_status oxt_i_take_usual(oxt_i_usual *usual, const oxt_steel_values *steel,
                            const oxt_part **part, const oxt_lift **lift, const oxt_part *coupon,
                            const oxt_lift *coupon_lift, oxt_error *error);
/* Does it deserve a caution that something takes another time than a coupon? A twentieth: the project's own choice. */
bool oxt_i_coupon_matters(double coupon_s, double time_s);
/* Equivalent time that a film takes of a coupon beyond one already there (0: none but that of the trials); 0 when that
 * is thicker. Refused for an aim that the coupon cannot have had. */
oxt_status oxt_i_coupon_needed(const oxt_i_thermal_path *coupon, double there_nm, double film_nm,
                               bool is_aim, double *equivalent_s, oxt_error *error);
/* How long a coupon of the trials takes for a film in the bath of a dip; 0: none does, or the constants of the card
 * stand for the steel itself. */
double oxt_i_dip_coupon_time_s(const oxt_i_dip_plan *of, double film_nm);
/* Equivalent time when the aim takes a coupon so many times as long as by the card. */
double oxt_i_dip_needed_s(const oxt_i_dip_plan *of, double times);
/* Exposure of a film beyond the one already there. */
double oxt_i_dip_grown_nm2(const oxt_i_dip_plan *of, double film_nm);
/* Is it named how the coupons were run? */
bool oxt_i_dip_names_coupon(const oxt_i_dip_plan *of);
/* Film in the quench after a dip of this equivalent time. */
double oxt_i_dip_film_nm(const oxt_i_dip_plan *of, double equivalent_s);

/* Is a film already there one that the trials tell of? */
oxt_status oxt_i_dip_check_there(const oxt_growth *growth, double there_nm, const char *name,
                                 oxt_error *error);
/* Check everything but the bath's temperature. */
oxt_status oxt_i_dip_take(oxt_i_dip_plan *made, const oxt_steel *steel, const oxt_target *target,
                          const oxt_dip_options *options, oxt_error *error);
/* Prepare the thermal paths of coupon and part in a bath of this true temperature, and the equivalent times
 * that are needed. */
oxt_status oxt_i_dip_paths(oxt_i_dip_plan *made, double bath_K, oxt_error *error);
/* The bath and the load of the part. */
oxt_i_surroundings oxt_i_dip_around(const oxt_i_dip_plan *plan);
/* The part that goes in; NULL: hot at once. */
const oxt_part *oxt_i_dip_part(const oxt_i_dip_plan *of);

/* Check everything and prepare the thermal paths. A plan must not be moved: its thermal paths point
 * into it. */
oxt_status oxt_i_dip_prepare(oxt_i_dip_plan *made, const oxt_steel *steel, const oxt_target *target,
                             double bath_K, const oxt_dip_options *options, oxt_error *error);
/* The same for a plan that was taken before. */
oxt_status oxt_i_dip_meet(oxt_i_dip_plan *made, double bath_K, oxt_error *error);
/* Degrees of freedom with which Student's distribution has quantiles that a double holds. */
oxt_status oxt_i_dip_check_dof(double dof, oxt_error *error);

/* What is known of m, the exponent of time, before any trial, and its standard deviation: n from 1.4 to 3.3. */
#define OXT_I_USUAL_EXPONENT 0.5
#define OXT_I_USUAL_EXPONENT_SD 0.1
/* The film about which it bends the law, that of the parabolic law that takes as long; 0: the card knows none. */
double oxt_i_dip_middle_nm(const oxt_steel_values *steel);

/* What the exponent of the trials' own growth moves ln of the time by, how uncertain that is, and whether the trials
 * contradict the parabolic law so far that it matters to this film (dip_law.c). */
typedef struct {
    double shift, variance;
    bool matters;
} oxt_i_dip_law;
oxt_i_dip_law oxt_i_dip_law_of(const oxt_i_dip_plan *of);
/* The parabolic law for a card by another one, on a film that its trials did not cover. */
oxt_i_dip_law oxt_i_dip_rival_of(const oxt_i_dip_plan *of);
/* Degrees of freedom of one dip, with its scatter and what wanders. */
/* d ln of the exposure that a film takes on one that is there/d ln of the law's shape; and the exposure that an error of
 * the film already there comes to. */
double oxt_i_dip_by_shape(const oxt_growth *growth, double film_nm, double initial_nm);
/* The same by the film that every part has before, times its standard error. */
double oxt_i_dip_by_initial(const oxt_steel_values *steel, double film_nm, double initial_nm);
double oxt_i_dip_initial_nm2(const oxt_growth *growth, double initial_nm, double stderr_nm);
double oxt_i_dip_next_dof(const oxt_i_dip_plan *of, const oxt_i_thermal_path_slopes *by);
/* The first of cautions for which no bath is chosen: it forbids the dip, or its salt is frozen; NULL. */
const oxt_caution_info *oxt_i_dip_bar(uint32_t cautions);
/* The time for the aim, the chance of the target then, and whether the bath is barred: what a search over baths needs. */
oxt_status oxt_i_dip_chance(const oxt_i_dip_plan *of, double *time_s, double *chance, bool *barred,
                            oxt_error *error);
/* The prediction, and what moves it (NULL: not asked for; 0 where nothing is left to do). */
oxt_status oxt_i_dip_fill(const oxt_i_dip_plan *of, oxt_dip *dip, oxt_i_thermal_path_slopes *moves,
                          oxt_error *error);

/* Cautions of a target on a steel, whatever the bath: outside the films of the trials, in another order as well, read
 * with another film. */
uint32_t oxt_i_target_cautions(const oxt_target *target, const oxt_steel_values *steel);

/* Copy a dip in and check what a report shows of it. */
oxt_status oxt_i_dip_in(oxt_dip *known, const oxt_dip *given, oxt_temperature_unit unit,
                        oxt_error *error);

/* A window shorter than this deserves a caution; the project's own choice. */
#define OXT_I_SHORTEST_WINDOW_S 3.0

#endif
