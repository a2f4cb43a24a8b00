/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The parameter of a temper, unchecked. */
#ifndef OXTINT_LIB_TEMPER_H
#define OXTINT_LIB_TEMPER_H

#include "base/internal.h"

double oxt_i_temper_parameter(double temperature_K, double time_s, double constant);
double oxt_i_temper_time(double parameter, double temperature_K, double constant);
oxt_status oxt_i_check_temper_constant(double constant, oxt_error *error);

#endif
