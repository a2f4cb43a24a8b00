/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file heat.h: a part in the bath and on its way to the quench -> temperature -> exposure.
 *
 * The temperature of a plate, a cylinder or a sphere at its surface, where the film grows, is a series of
 * terms that die away like exp(-t/tau); a part of any other shape is one temperature throughout, one such
 * term. Properties of the steel are constant, those at 0.65 of the way from the start to the bath, which
 * puts the time lost to heating up within 0.5 % of that with properties by temperature; a still bath, one
 * that sags and a crust have them at each temperature.
 *
 * Source: F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, chapter 5.
 */
#ifndef OXTINT_HEAT_H
#define OXTINT_HEAT_H

#include "oxtint/history.h"

/** Shape of a part. */
typedef enum oxt_shape {
    OXT_SHAPE_PLATE = 0,    /* size: full thickness, heated from both faces */
    OXT_SHAPE_CYLINDER = 1, /* size: diameter of a long bar */
    OXT_SHAPE_SPHERE = 2,   /* size: diameter */
    OXT_SHAPE_ANY = 3 /* size: volume over surface; one temperature throughout, which holds for a Biot
                         number below 0.1 and one thickness: dips carry OXT_CAUTION_UNEVEN */
} oxt_shape;

/** Metal of a part. Only steel is taken: the constants and colours are those of its oxide. */
typedef enum oxt_metal {
    OXT_METAL_STEEL = 0,
    OXT_METAL_BRASS = 1,
    OXT_METAL_BRONZE = 2,
    OXT_METAL_NICKEL_SILVER = 3
} oxt_metal;

/** How the salt moves past a part. */
typedef enum oxt_flow {
    OXT_FLOW_STIRRED = 0, /* stirred, or the part is moved: the heat transfer is the same at every difference */
    OXT_FLOW_STILL = 1    /* natural convection: it falls with the difference, transfer (dT/transfer_at_K)^n */
} oxt_flow;

/** A part on its way into a bath. */
typedef struct oxt_part {
    size_t struct_size;
    oxt_shape shape;              /* OXT_SHAPE_PLATE */
    double size_m;                /* m          see oxt_shape, > 0, up to 1; 0: no heating-up at all */
    double start_K;               /* K          temperature before the dip, 200 to the bath; 293.15 */
    double transfer_W_per_m2K;    /* W/(m^2 K)  heat transfer of the bath, > 0, up to 1e6; 600 (quiet
                                                salt 250 to 1100, a part moved through it 1100 to 2200) */
    double density_kg_per_m3;     /* kg/m^3     1 to 1e5; 7850, EN 1993-1-2, carbon steel */
    double heat_J_per_kgK;        /* J/(kg K)   specific heat, > 0, up to 1e5; 0: carbon steel by temperature */
    double conductivity_W_per_mK; /* W/(m K)    > 0, up to 1e4; 0: carbon steel by temperature */
    oxt_metal metal;              /* OXT_METAL_STEEL; every call refuses the others */
    oxt_flow flow;                /* OXT_FLOW_STIRRED */
    double transfer_at_K; /* K    difference of bath and surface at which a still bath has transfer_W_per_m2K,
                             1 to 1000; 0: 100 */
    double transfer_exponent; /* n of a still bath, up to 1; 0: 1/4, laminar natural convection */
    double wetted; /* share of the surface that the salt reaches, above 0, up to 1; 0: all of it. A part flat
                      against the pot or another part: 0.5 */
} oxt_part;

#define OXT_PART_INIT                                                                             \
    { sizeof(oxt_part), OXT_SHAPE_PLATE, 0.0, 293.15, 600.0, 7850.0, 0.0, 0.0, OXT_METAL_STEEL, \
      OXT_FLOW_STIRRED, 0.0, 0.0, 0.0 }

/** How a part warms up. */
typedef struct oxt_warming {
    size_t struct_size;
    int lumped;           /* 1: one temperature throughout, OXT_SHAPE_ANY; 0: series at the surface */
    double biot;          /* h (V/A) / lambda */
    double tau_s;         /* s   time constant, of the slowest term */
    double heat_J_per_kgK;        /* the properties that were used */
    double conductivity_W_per_mK;
    double conduction_length_m; /* m   sections farther apart than this warm up each at its own pace:
                                   sqrt(lambda (V/A) / h) */
} oxt_warming;

#define OXT_WARMING_INIT { sizeof(oxt_warming), 0, 0.0, 0.0, 0.0, 0.0, 0.0 }

/** Where in a part its thermocouple is. */
typedef enum oxt_thermocouple {
    OXT_THERMOCOUPLE_CENTRE = 0, /* halfway through a plate, on the axis of a bar, in the middle of a ball */
    OXT_THERMOCOUPLE_SURFACE = 1
} oxt_thermocouple;

/** The heat transfer of a bath, found from a thermocouple. */
typedef struct oxt_transfer {
    size_t struct_size;
    double transfer_W_per_m2K;        /* W/(m^2 K)  of a still bath at the part's transfer_at_K */
    double transfer_stderr_W_per_m2K; /* W/(m^2 K)  standard error [2] */
    double exponent;        /* n of a still bath; 0 of a stirred one */
    double exponent_stderr; /* standard error; 0 of a stirred one */
    double enter_s;         /* s   when the part entered, by the clock of the log */
    double rms_K;           /* K   root of the mean square of what is left */
    size_t used;            /* samples that were used */
} oxt_transfer;

#define OXT_TRANSFER_INIT { sizeof(oxt_transfer), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0 }

/** The way of a part from the bath to the quench, through air. */
typedef struct oxt_lift {
    size_t struct_size;
    double delay_s;              /* s          from leaving the bath to the quench, 0 to 3600; 0 */
    double air_K;                /* K          200 to 400; 293.15 */
    double convection_W_per_m2K; /* W/(m^2 K)  heat transfer to the air, 0 to 1000; 10: still air */
    double emissivity;           /* 0 to 1     of the surface; 0.3: between polished and oxidised */
} oxt_lift;

#define OXT_LIFT_INIT { sizeof(oxt_lift), 0.0, 293.15, 10.0, 0.3 }

OXT_BEGIN_DECLS

/**
 * How a part warms up in a bath.
 *
 * Given:
 *   part      the part; its size > 0
 *   bath_K    K   above part's start_K, up to OXT_BATH_HIGH_K
 * Returned:
 *   warming   whether it is lumped, its Biot number and time constant
 * Status:
 *   OXT_EDOMAIN
 * Source:
 *   EN 1993-1-2:2005, 3.4.1.2 and 3.4.1.3: heat and conductivity of carbon steel, at 0.65 of
 *   the way from start to bath, 20 to 600 C; conduction length: that of a fin (Incropera and DeWitt, section 3.6)
 */
OXT_API oxt_status oxt_heat_warming(const oxt_part *part, double bath_K, oxt_warming *warming,
                                    oxt_error *error);

/**
 * Temperature of a part's surface after a time in the bath.
 *
 * Given:
 *   part            the part; size 0 is at bath temperature at once
 *   bath_K          K   above part's start_K, up to OXT_BATH_HIGH_K
 *   time_s          s   >= 0
 * Returned:
 *   temperature_K   K
 * Status:
 *   OXT_EDOMAIN
 */
OXT_API oxt_status oxt_heat_surface_temperature(const oxt_part *part, double bath_K, double time_s,
                                                double *temperature_K, oxt_error *error);

/**
 * Find the heat transfer of a bath from the logged thermocouple of a part that was dipped into it, by least
 * squares: h, the moment at which the part entered, and for a still bath the exponent n.
 *
 * Given:
 *   part     the part; its transfer is where the search begins, its flow says what is sought [1]
 *   bath_K   K   the bath, steady; 10 K or more above part's start_K, up to OXT_BATH_HIGH_K
 *   history  the thermocouple, from before the part enters or from then on, until it is nearly as hot as the
 *            bath; of more than 2000 samples every second one is used, or every third, ...
 *   place    where the thermocouple is
 * Returned:
 *   found    heat transfer and exponent with their errors
 * Status:
 *   OXT_EFEW the history does not hold the rise; OXT_EDOMAIN, OXT_EARG, OXT_ENOCONV, OXT_ENOMEM
 * Notes:
 *   1. OXT_FLOW_STIRRED: h; OXT_FLOW_STILL: h and n. Salt that freezes on the part is not counted: preheat
 *      it above the melting point.
 *   2. As if the errors of the samples were independent. Those of a bath that wanders are not, so that the
 *      true error is larger; log a second dip.
 */
OXT_API oxt_status oxt_heat_find_transfer(const oxt_part *part, double bath_K,
                                          const oxt_history *history, oxt_thermocouple place,
                                          oxt_transfer *found, oxt_error *error);

/**
 * Time in the bath that gives an exposure, heating-up included; the inverse of oxt_bath_exposure in a bath that
 * does not sag.
 *
 * Given:
 *   growth         the steel's constants
 *   part           the part
 *   bath_K         K      above part's start_K, up to OXT_BATH_HIGH_K
 *   exposure_nm2   nm^2   >= 0
 * Returned:
 *   time_s         s      from entering the bath
 *   lag_s          s      how much of it is heating-up time; NULL allowed
 * Status:
 *   OXT_EDOMAIN, OXT_EUNREACHABLE, OXT_ENOCONV
 */
OXT_API oxt_status oxt_heat_time_for_exposure(const oxt_growth *growth, const oxt_part *part,
                                              double bath_K, double exposure_nm2, double *time_s,
                                              double *lag_s, oxt_error *error);

/**
 * Exposure of a part between leaving the bath and the quench.
 *
 * Given:
 *   growth         the steel's constants
 *   part           the part
 *   lift           the way to the quench
 *   from_K         K      temperature on leaving the bath, above 200, up to OXT_BATH_HIGH_K
 * Returned:
 *   exposure_nm2   nm^2
 *   quench_K       K      temperature at the quench; NULL allowed
 * Status:
 *   OXT_EDOMAIN, OXT_ENOCONV, OXT_ENOMEM
 * Source:
 *   F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, section 5.3 (lumped
 *   cooling with radiation) and table 1.1 (2 to 25 W/(m^2 K) for free convection in gases); the
 *   emissivity is oxtint's own middle between about 0.1 and 0.7, from memory
 * Notes:
 *   The part is one temperature throughout and cools in air by convection and radiation, its heat as at
 *   from_K; one of size 0 stays as hot as it was. The salt that clings to it is neglected: it keeps the part
 *   hot a little longer.
 */
OXT_API oxt_status oxt_heat_lift_exposure(const oxt_growth *growth, const oxt_part *part,
                                          const oxt_lift *lift, double from_K, double *exposure_nm2,
                                          double *quench_K, oxt_error *error);

OXT_END_DECLS

#endif
