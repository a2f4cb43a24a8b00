/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file bath.h: the salt and the bath that holds it: limits, thermometer, sag under a load.
 *
 * A cold load cools a bath of limited size, which is stirred: one temperature throughout. The heater gives
 * its spare power from the first moment and for as long as the bath is below where it started, and then
 * holds it there. Load and bath are followed step by step, within 0.01 K of finite volumes.
 */
#ifndef OXTINT_BATH_H
#define OXTINT_BATH_H

#include "oxtint/heat.h"

/** What the bath is filled with. */
typedef enum oxt_salt {
    OXT_SALT_UNSTATED = 0,        /* a nitrate tempering salt: general limits */
    OXT_SALT_BINARY_60_40 = 1,    /* NaNO3 and KNO3, 60 to 40 by weight */
    OXT_SALT_BINARY_EUTECTIC = 2, /* NaNO3 and KNO3, half and half by mole */
    OXT_SALT_TERNARY = 3          /* KNO3, NaNO2 and NaNO3, 53 to 40 to 7 by weight */
} oxt_salt;

/** A salt: between which temperatures it is used, and what it is like at one of them. */
typedef struct oxt_salt_values {
    size_t struct_size;
    double melting_low_K;  /* K   solid below */
    double melting_high_K; /* K   liquid above */
    double working_low_K;  /* K   usual working range */
    double working_high_K; /* K */
    double legal_high_K;   /* K   a legal maximum for nitrate baths */
    double density_kg_per_m3; /* kg/m^3    NaN where no temperature was given */
    double heat_J_per_kgK;    /* J/(kg K)  specific heat; NaN where no temperature was given */
    char name[48];         /* the salt in words */
    char source[192];      /* where the limits are from, in words */
    double viscosity_Pa_s; /* Pa s       NaN where no temperature was given */
    double conductivity_W_per_mK; /* W/(m K)  NaN where no temperature was given */
    double expansion_per_K; /* 1/K       thermal expansion of the volume; NaN where no temperature was given */
} oxt_salt_values;

#define OXT_SALT_VALUES_INIT                                                                        \
    { sizeof(oxt_salt_values), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, "", "", 0.0, 0.0, 0.0 }

/** A bath, its thermometer and its heater. */
typedef struct oxt_bath {
    size_t struct_size;
    oxt_salt salt;               /* OXT_SALT_UNSTATED */
    double thermometer_offset_K; /* K    to add to what the thermometer reads, -50 to 50; 0 */
    double thermometer_sd_K;     /* K    standard deviation of its error, 0 to 1000; 0 */
    double wander_K;             /* K    standard deviation from dip to dip, 0 to 1000; 0 */
    double salt_kg;              /* kg   up to 1e6; 0: unlimited, never cooled */
    double heater_W;             /* W    power beyond the bath's own losses, up to 1e7; 0: none */
} oxt_bath;

#define OXT_BATH_INIT { sizeof(oxt_bath), OXT_SALT_UNSTATED, 0.0, 0.0, 0.0, 0.0, 0.0 }

/** How a bath sags under a load. */
typedef struct oxt_sag {
    size_t struct_size;
    double lowest_K;   /* K   coldest that the bath gets */
    double lowest_s;   /* s   when; HUGE_VAL when it only creeps up to it (no heater) */
    double sag_K;      /* K   start minus lowest_K */
    double recovery_s; /* s   until it is back within 0.1 K; 0: never farther; HUGE_VAL: never back */
    double heat_J;     /* J   that the load takes in the end */
    uint32_t cautions; /* bits of oxt_caution */
} oxt_sag;

#define OXT_SAG_INIT { sizeof(oxt_sag), 0.0, 0.0, 0.0, 0.0, 0.0, 0 }

/** Salt that freezes on a cold part: a dull grey crust, under which no colour is seen. */
typedef struct oxt_crust {
    size_t struct_size;
    double melting_K;  /* K   of the salt, in the middle of its melting range; NaN of an unstated one */
    double melted_s;   /* s   when it has melted; 0: none freezes */
    double thickest_m; /* m   its thickness at most */
} oxt_crust;

#define OXT_CRUST_INIT { sizeof(oxt_crust), 0.0, 0.0, 0.0 }

/** A surface along which still salt sinks or rises. */
typedef enum oxt_surface {
    OXT_SURFACE_UPRIGHT = 0, /* a plate or a bar that hangs upright; size: its height */
    OXT_SURFACE_LYING = 1,   /* a bar that lies; size: its diameter */
    OXT_SURFACE_SPHERE = 2   /* size: diameter */
} oxt_surface;

/** Natural convection in a still bath. */
typedef struct oxt_convection {
    size_t struct_size;
    double transfer_W_per_m2K; /* W/(m^2 K)  heat transfer at the difference asked for */
    double exponent; /* n by which it falls with the difference from there to a tenth of it */
    double film_K;   /* K   at which the salt's properties were taken */
    double rayleigh; /* Rayleigh number */
    double prandtl;  /* Prandtl number */
    double nusselt;  /* Nusselt number */
} oxt_convection;

#define OXT_CONVECTION_INIT { sizeof(oxt_convection), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0 }

OXT_BEGIN_DECLS

/**
 * Limits of a salt, and its properties at a temperature.
 *
 * Given:
 *   salt            the salt
 *   temperature_K   K   513.15 to 853.15, ternary 435.15 to 788.15; 0: limits only
 * Returned:
 *   values          what is known of it
 * Status:
 *   OXT_EARG, OXT_EDOMAIN
 * Source:
 *   of the limits: named in the result; the melting points and the upper ends of the two binaries and the
 *   ternary are from memory. Properties, 60/40: design-basis correlations of Sandia National
 *   Laboratories, which also stand for the eutectic and for an unstated salt. Ternary: density and heat, Sohal
 *   et al., INL/EXT-10-18297 (2010); viscosity and conductivity, Chang et al., Energy Procedia 69 (2015) 779.
 * Notes:
 *   1. Of an unstated salt the lower end of the working range stands for melting.
 *   2. The heat of the ternary is uncertain: the correlation lies 15 % above an older constant of
 *      1560 J/(kg K), from memory, at 400 C, and 27 % at 300 C.
 */
OXT_API oxt_status oxt_bath_salt(oxt_salt salt, double temperature_K, oxt_salt_values *values,
                                 oxt_error *error);

/**
 * Temperature of a bath from what its thermometer reads, and its cautions, without any load in it.
 *
 * Given:
 *   bath        the bath
 *   reading_K   K   OXT_BATH_LOW_K to OXT_BATH_HIGH_K once corrected
 * Returned:
 *   true_K      K   the reading corrected by thermometer_offset_K
 *   cautions    bits of oxt_caution: those of every salt bath, and those of this temperature by the
 *               limits of its own salt; NULL allowed
 * Status:
 *   OXT_EDOMAIN
 */
OXT_API oxt_status oxt_bath_read(const oxt_bath *bath, double reading_K, double *true_K,
                                 uint32_t *cautions, oxt_error *error);

/**
 * How far a bath sags when a load goes in.
 *
 * Given:
 *   bath      the bath
 *   part      one part of the load; its size > 0
 *   load_kg   kg   mass of all parts that go in together, above 0, up to 1e6
 *   bath_K    K    true temperature before, OXT_BATH_LOW_K to OXT_BATH_HIGH_K, not below part's
 *                  start_K
 * Returned:
 *   sag       the sag
 * Status:
 *   OXT_EDOMAIN, OXT_ENOCONV
 * Notes:
 *   The heat of the salt is that at bath_K, or at the nearest end of its correlation.
 */
OXT_API oxt_status oxt_bath_sag(const oxt_bath *bath, const oxt_part *part, double load_kg,
                                double bath_K, oxt_sag *sag, oxt_error *error);

/**
 * Exposure of a part's surface from the moment it enters a bath, which sags under its load or not.
 *
 * Given:
 *   growth         the steel's constants
 *   bath           the bath; NULL or of salt_kg 0: no load cools it
 *   part           the part; with a load that cools the bath its size > 0
 *   load_kg        kg     mass of all such parts that go in together, 0 to 1e6; 0: too little to count
 *   bath_K         K      true temperature before, above part's start_K, up to OXT_BATH_HIGH_K; with a load
 *                         as for oxt_bath_sag
 *   time_s         s      in the bath, 0 to OXT_TIME_HIGH_S
 * Returned:
 *   exposure_nm2   nm^2
 * Status:
 *   OXT_EDOMAIN, OXT_ENOCONV, OXT_ENOMEM
 * Notes:
 *   In closed form (exponential integrals) for a part of any shape in a stirred bath that nothing cools, else by
 *   quadrature. Salt that is stated freezes on a cold part, as oxt_bath_crust has it. Within 1e-8 of what a part
 *   at bath temperature grows in that time.
 */
OXT_API oxt_status oxt_bath_exposure(const oxt_growth *growth, const oxt_bath *bath,
                                     const oxt_part *part, double load_kg, double bath_K,
                                     double time_s, double *exposure_nm2, oxt_error *error);

/**
 * The salt that freezes on a cold part, and melts again.
 *
 * Given:
 *   bath      the bath; of an unstated salt nothing is known to freeze
 *   part      the part
 *   bath_K    K   true temperature, above part's start_K, up to OXT_BATH_HIGH_K
 * Returned:
 *   crust     when it has melted, and how thick it was
 * Status:
 *   OXT_EDOMAIN, OXT_ENOCONV
 * Source:
 *   a heat balance of part and crust (J. Stefan's condition at the crust's face); latent heats of 161 kJ/kg
 *   (60/40), 100 (eutectic) and 80 (ternary), and 0.6 W/(m K): from memory
 * Notes:
 *   While a crust stands the bath gives only h (T_bath - T_melting); what freezing gives to the part, melting
 *   takes from the bath. So a crust costs close to tau ((T_m - T_start)/(T_b - T_m) - ln((T_b - T_start)/(T_b -
 *   T_m))), whatever its latent heat. A part that is warmed above the melting point first grows none, and in a
 *   bath that is no hotter than the melting point none is counted: it would not melt.
 */
OXT_API oxt_status oxt_bath_crust(const oxt_bath *bath, const oxt_part *part, double bath_K,
                                  oxt_crust *crust, oxt_error *error);

/**
 * Heat transfer of a still bath by natural convection, where none is measured: what a part's transfer_W_per_m2K,
 * transfer_at_K and transfer_exponent may start from.
 *
 * Given:
 *   bath           the bath; its salt counts
 *   surface        how the part hangs
 *   size_m         m   its height or diameter, 1e-4 to 1
 *   bath_K         K   true temperature, OXT_BATH_LOW_K to OXT_BATH_HIGH_K
 *   difference_K   K   between bath and surface, 0.01 to 1000; the surface is not below 200 K
 * Returned:
 *   convection     heat transfer, and the numbers that it follows from
 * Status:
 *   OXT_EARG, OXT_EDOMAIN
 * Source:
 *   upright: S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1323, their equation for
 *   all Rayleigh numbers up to 1e12; lying: the same, 18 (1975) 1049, up to 1e12; sphere: S. W. Churchill, Heat
 *   Exchanger Design Handbook, 2.5.7 (1983), Prandtl 0.7 or more, up to 1e11. All as in F. P. Incropera and
 *   D. P. DeWitt, Fundamentals of Heat and Mass Transfer, chapter 9
 * Notes:
 *   1. Properties are those halfway between bath and surface, or at the nearest end of their correlations.
 *   2. Such correlations hold within some 20 %. For laminar flow along a plate, Churchill and Chu's other
 *      equation gives up to 25 % less.
 *   3. A bar may hang upright by the equation of a plate where its diameter is at least 35 times its height over
 *      the fourth root of Rayleigh over Prandtl number; a thinner one takes more.
 *   4. While salt is frozen on a part, the surface is that of the crust, at the melting point.
 */
OXT_API oxt_status oxt_bath_convection(const oxt_bath *bath, oxt_surface surface, double size_m,
                                       double bath_K, double difference_K,
                                       oxt_convection *convection, oxt_error *error);

OXT_END_DECLS

#endif
