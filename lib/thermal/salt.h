/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Salts, for the bath. */
#ifndef OXTINT_LIB_SALT_H
#define OXTINT_LIB_SALT_H

#include "thermal/bath.h"

oxt_status oxt_i_check_salt(oxt_salt salt, oxt_error *error);
/* kg/m^3 and J/(kg K) at a temperature within the range of the correlations, and the temperature of that range
 * that is nearest to any other. */
double oxt_i_salt_density(oxt_salt salt, double temperature_K);
double oxt_i_salt_heat(oxt_salt salt, double temperature_K);
double oxt_i_salt_known(oxt_salt salt, double temperature_K);
/* Above it all of the salt is liquid. */
double oxt_i_salt_melting_K(oxt_salt salt);

#endif
