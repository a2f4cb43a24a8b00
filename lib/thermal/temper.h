/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The parameter of a temper, unchecked. */
#ifndef OXTINT_LIB_TEMPER_H
#define OXTINT_LIB_TEMPER_H

#include "growth/history.h"

double oxt_i_temper_parameter(double temperature_K, double time_s, double constant);
double oxt_i_temper_time(double parameter, double temperature_K, double constant);
oxt_status oxt_i_check_temper_constant(double constant, oxt_error *error);
/* The parameter after tempers of an initial one (0: none) and a history: dP/dt = T / ln 10 * 10^(C - P/T), t in hours,
 * is integrated to 1e-11 of that time while the temperature changes linearly, and is in closed form while it is
 * constant. */
oxt_status oxt_i_temper_after(const oxt_history *history, double initial_parameter, double constant,
                              double *parameter, oxt_error *error);

#endif
