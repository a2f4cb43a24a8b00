/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Salts, for the bath. */
#ifndef OXTINT_LIB_SALT_H
#define OXTINT_LIB_SALT_H

#include "thermal/bath.h"
#include "thermal/course.h"

oxt_status oxt_i_check_salt(oxt_salt salt, oxt_error *error);
/* kg/m^3 and J/(kg K) at a temperature within the range of the correlations, and the temperature of that range
 * that is nearest to any other. */
double oxt_i_salt_density(oxt_salt salt, double temperature_K);
double oxt_i_salt_heat(oxt_salt salt, double temperature_K);
/* Pa s, W/(m K) and 1/K, the same. */
double oxt_i_salt_viscosity(oxt_salt salt, double temperature_K);
double oxt_i_salt_conductivity(oxt_salt salt, double temperature_K);
double oxt_i_salt_expansion(oxt_salt salt, double temperature_K);
double oxt_i_salt_known(oxt_salt salt, double temperature_K);
double oxt_i_salt_melting_K(oxt_salt salt);
/* Nusselt number of natural convection, over the whole surface. */
double oxt_i_nusselt(oxt_surface surface, double rayleigh, double prandtl);
/* What a bath and a load of such parts are for each square metre of them: salt that freezes, and heat. */
void oxt_i_outside_of(oxt_i_outside *made, const oxt_i_body *body, const oxt_bath *bath,
                      double load_kg);

#endif
