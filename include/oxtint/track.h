/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file track.h: temperatures of a dip as they are measured -> the film now, and when to lift.
 *
 * A controller feeds one sample after another; the tracker adds up the exposure and gives the
 * film now and the time until the lift. Between two samples the bath's temperature runs in a
 * straight line and the exposure follows by the trapezoidal rule, whose error falls with the square
 * of the step. The first sample is the moment at which the part enters the bath.
 *
 * A tracker belongs to one thread: one growing film, one thread.
 */
#ifndef OXTINT_TRACK_H
#define OXTINT_TRACK_H

#include "oxtint/bath.h"
#include "oxtint/heat.h"
#include "oxtint/steel.h"
#include "oxtint/tint.h"

/* Temperatures that a sample may have, K; what lies outside is a fault of the sensor. */
#define OXT_SAMPLE_LOW_K 200.0
#define OXT_SAMPLE_HIGH_K 1300.0

/** One dip as it happens: opaque, of one thread. */
typedef struct oxt_track oxt_track;

/** What may be chosen about a tracker. What it points to may be freed afterwards. */
typedef struct oxt_track_options {
    size_t struct_size;
    const oxt_part *part; /* the part, of which the samples are the bath; of size 0: they are of the part's
                             surface; NULL: as `coupon`, or the coupon of a card that states it where bath_K is
                             given, else the samples are of the part */
    double bath_K;        /* K    bath that is meant, as its thermometer reads, with a part: its steel's
                                  properties are taken between start_K and here; above start_K, up
                                  to OXT_BATH_HIGH_K; 0: none */
    const oxt_lift *lift; /* the way to the quench; NULL: `coupon_lift`, or as the coupons' of the card, where it
                             states them, else quenched at once */
    double initial_nm;    /* nm   film already there, as thick as that of the growth constants at least, to
                             OXT_THICKNESS_HIGH_NM; 0: none but that */
    double longest_gap_s; /* s    a longer gap between samples is reported, > 0; 5 */
    const oxt_part *coupon; /* what the trials were run with, as in oxt_dip_options, which refuses the
                               same ones; needs bath_K */
    const oxt_lift *coupon_lift; /* its way to the quench; NULL: quenched at once */
    const oxt_bath *salt_bath;   /* its thermometer's offset is added to the samples, its salt
                                    determines the cautions; NULL: none, unstated. Samples follow the
                                    bath, so that of its errors only thermometer_sd_K counts */
    double confidence;    /* of the limits of the lift, 0.5 to 0.9999; 0: 0.95 */
    double time_wander_s; /* s   standard deviation of the lift beyond that of the trials, 0 to
                             OXT_TIME_HIGH_S; 0 */
} oxt_track_options;

#define OXT_TRACK_OPTIONS_INIT \
    { sizeof(oxt_track_options), NULL, 0.0, NULL, 0.0, 5.0, NULL, NULL, NULL, 0.0, 0.0 }

/** What a lift now would give. */
typedef enum oxt_track_phase {
    OXT_TRACK_GROWING = 0, /* a film too thin: the target does not show yet */
    OXT_TRACK_SHOWING = 1, /* the target */
    OXT_TRACK_PAST = 2     /* a film too thick: polish it off and start again */
} oxt_track_phase;

/** The state of a dip at the last sample. */
typedef struct oxt_track_state {
    size_t struct_size;
    double time_s;         /* s      since the first sample */
    double bath_K;         /* K      the last sample, offset added; NaN before the first */
    double surface_K;      /* K      of the part; NaN before the first sample */
    double exposure_nm2;   /* nm^2   so far */
    double thickness_nm;   /* nm     now */
    double quench_nm;      /* nm     in the quench, when it is lifted now */
    int tint_index;        /* band of thickness_nm, -1 beyond the second order */
    oxt_track_phase state;    /* of quench_nm in the window of the target */
    char label[32];        /* trade name of thickness_nm, "" beyond the second order */
    double lab[3];         /* L*, a*, b* of thickness_nm; NaN beyond OXT_PATH_HIGH_NM */
    double srgb[3];        /* 0 to 1   the same, adapted to D65 */
    double to_lift_s;      /* s   from the last sample until a lift gives the aim; 0 when it would
                                  now, HUGE_VAL when it takes longer than OXT_TIME_HIGH_S */
    double to_earliest_s;  /* s   the same for the thinnest film that shows the target */
    double to_latest_s;    /* s   the same for the thickest */
    size_t sample_count;   /* samples taken */
    size_t refused_count;  /* samples refused */
    size_t gap_count;      /* gaps longer than longest_gap_s */
    double bridged_s;      /* s   time inside those gaps */
    uint32_t cautions;     /* bits of oxt_caution */
    double chance_now;     /* 0 to 1: of the wanted colour, if it is lifted now; NaN before the first sample */
    double chance;         /* 0 to 1: if it is lifted at the best moment, to_lift_s from now */
    double to_lift_low_s;  /* s   lift-time uncertainty, next dip: with its scatter */
    double to_lift_high_s;
} oxt_track_state;

#define OXT_TRACK_STATE_INIT                                                                        \
    { sizeof(oxt_track_state), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0, OXT_TRACK_GROWING, "", { 0.0, 0.0, 0.0 }, \
      { 0.0, 0.0, 0.0 }, 0.0, 0.0, 0.0, 0, 0, 0, 0.0, 0, \
      0.0, 0.0, 0.0, 0.0 }

OXT_BEGIN_DECLS

/**
 * Prepare a tracker for a dip. All memory is taken here.
 *
 * Given:
 *   steel     the steel; a copy of its constants is kept
 *   film      the film that is seen; its colours and names are copied
 *   target    what is wanted
 *   options   NULL for the usual ones
 * Returned:
 *   tracker   free it with oxt_track_free
 * Status:
 *   OXT_EDOMAIN also when the rate at OXT_SAMPLE_HIGH_K is too large for a double, and a part or a
 *   coupon without a bath; OXT_EARG, OXT_ENOCONV, OXT_ENOMEM
 * Notes:
 *   With a coupon the rate is raised so that the aim is reached, in a bath at bath_K, at the time of
 *   oxt_dip_predict, and so are the thinnest and the thickest film of the target; between them the thickness is on the
 *   scale of the trials.
 */
OXT_API oxt_status oxt_track_new(oxt_track **tracker, const oxt_steel *steel,
                                 const oxt_film *film, const oxt_target *target,
                                 const oxt_track_options *options, oxt_error *error);

/**
 * Free a tracker.
 *
 * Given:
 *   tracker   NULL is ignored
 */
OXT_API void oxt_track_free(oxt_track *tracker);

/**
 * Begin a new dip of the same part for the same target: nothing of the last one is kept.
 *
 * Given:
 *   tracker   the tracker
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_track_restart(oxt_track *tracker, oxt_error *error);

/**
 * Take one sample. Nothing is allocated. Of several parts in one bath each has a tracker of its own,
 * which is fed from the sample on at which it enters.
 *
 * Given:
 *   tracker         the tracker
 *   time_s          s   of any clock, after that of the last sample taken and at most
 *                       OXT_TIME_HIGH_S after the first
 *   temperature_K   K   of the bath, or of the part itself when the tracker has none;
 *                       OXT_SAMPLE_LOW_K to OXT_SAMPLE_HIGH_K
 * Status:
 *   OXT_EDOMAIN
 * Notes:
 *   1. A sample that is refused is counted and changes nothing else, so that the next good one bridges it: one with
 *      the time of the last one (doubled) or before it (late, out of order), and one out of range.
 *   2. In a dip with a part a sample that leaps by more than 100 K waits for the next one: it is taken when that
 *      is nearer to it than to the sample before, and refused otherwise. No bath leaps to and fro. Of samples more
 *      than longest_gap_s apart each is taken: in that time a bath may have changed.
 *   3. A gap longer than longest_gap_s is bridged by a straight line in finer steps, and reported.
 */
OXT_API oxt_status oxt_track_feed(oxt_track *tracker, double time_s, double temperature_K,
                                  oxt_error *error);

/**
 * The state of the dip, and when to lift if the bath stays as it is. Nothing is allocated.
 *
 * Given:
 *   tracker    the tracker
 * Returned:
 *   tracking   as of the last sample
 * Status:
 *   OXT_EARG
 * Notes:
 *   The rest of the heating-up and the growth on the way to the quench are counted; the latter is
 *   looked up by the temperature of the surface, in a table from OXT_BATH_LOW_K to OXT_BATH_HIGH_K,
 *   within 1e-4 of oxt_heat_lift_exposure up to 560 C and 1e-3 above. Without a part it does not cool on
 *   the way. When a bath cools, a lift may give less than a moment ago, and the state may go back.
 *   The chances and the limits of the lift count the error of the fit, its scatter, the wander of the lift and the
 *   error of the thermometer, as oxt_dip_predict does for a dip in a bath that stays as it is; limits that are
 *   passed are 0, those that are farther than OXT_TIME_HIGH_S are HUGE_VAL.
 *   Lab lies within CIEDE2000 0.05 of the film's, sRGB within 0.006.
 */
OXT_API oxt_status oxt_track_read(const oxt_track *tracker, oxt_track_state *tracking,
                                  oxt_error *error);

/**
 * The dip so far as text (JSON), from which a program that was restarted goes on.
 *
 * Given:
 *   tracker             the tracker
 *   buffer, capacity    where the text goes; 4096 bytes are enough
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_track_snapshot(const oxt_track *tracker, char *buffer, size_t capacity,
                                      size_t *needed, oxt_error *error);

/**
 * Go on with a dip from a snapshot. What passed since is a gap: the next sample bridges it.
 *
 * Given:
 *   tracker        made from the same steel, target and options as that of the snapshot; what it has taken so far
 *                  is left when the call succeeds, and kept when it fails
 *   text, length   the snapshot, in bytes
 * Status:
 *   OXT_EARG also a snapshot of another tracker, OXT_EPARSE, OXT_EDOMAIN, OXT_EVERSION, OXT_ENOMEM
 * Notes:
 *   The clock must go on too: one that begins anew with the program gives samples before the last one, which are
 *   refused. Take the time of day, or add what the clock of the last run showed.
 */
OXT_API oxt_status oxt_track_resume(oxt_track *tracker, const char *text, size_t length,
                                    oxt_error *error);

OXT_END_DECLS

#endif
