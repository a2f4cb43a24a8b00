/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A part in salt by finite volumes: a second hand, which calls nothing of the library. Shells of a plate, a bar
 * or a ball exchange heat; specific heat and conductivity follow temperature, the heat transfer follows the
 * difference of temperatures, and salt freezes on a cold surface and melts again. */
#ifndef OXTINT_TEST_VOLUMES_H
#define OXTINT_TEST_VOLUMES_H

enum { VOLUMES_PLATE = 0, VOLUMES_BAR = 1, VOLUMES_BALL = 2, VOLUMES_MOST = 200 };

typedef struct {
    int form;      /* plate, bar, ball */
    double half_m; /* half thickness, or radius */
    double density, start_K;
    double heat[4]; /* J/(kg K), a polynomial of degrees Celsius */
    double conductivity[2];
    double transfer, exponent, gap_K; /* h = transfer (dT / gap_K)^exponent */
    double wetted;                    /* share of the surface that the salt wets, 0 to 1 */
    double bath_K;
    double (*bath_at)(double time_s, double heat_J_per_m2, void *context); /* NULL: steady */
    void *context;
    double melting_K;                     /* 0: nothing freezes */
    double latent_J_per_m3;               /* of the salt that freezes */
    double crust_W_per_mK;                /* its conductivity */
    double air_K, convection, emissivity; /* of the lift */

    int cells;
    double width_m, face[VOLUMES_MOST + 1], volume[VOLUMES_MOST]; /* per area of the surface */
    double T[VOLUMES_MOST];                                       /* K, in the middle of each */
    double surface_K, time_s, taken_J_per_m2;
    double flux; /* W/m^2 that goes into the surface */
    double crust_m, crust_end_s;
    int lifted;
} volumes;

/* Carbon steel of EN 1993-1-2:2005, 3.4.1.2 and 3.4.1.3; a steady stirred bath; no crust. */
volumes volumes_steel(int form, double half_m, double bath_K, double transfer, int cells);
/* Lay out the shells; call it after changing a field. */
void volumes_start(volumes *of);
void volumes_step(volumes *of, double step_s);
double volumes_mean_K(const volumes *of);
/* J/m^2 in the shells above start_K, by the integral of the specific heat. */
double volumes_content(const volumes *of);

#endif
