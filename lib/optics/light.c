/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Illuminants, observers, adaptation. */
#include <string.h>

#include "base/internal.h"
#include "optics/light.h"
#include "optics/optics_data.h"

oxt_status oxt_i_check_light(oxt_illuminant illuminant, oxt_observer observer, oxt_error *error)
{
    oxt_status status = oxt_i_check_choice("illuminant", (int)illuminant, OXT_ILLUMINANT_LED_V1,
                                           error);
    return status
               ? status
               : oxt_i_check_choice("observer", (int)observer, OXT_OBSERVER_1964_10_DEGREE, error);
}

void oxt_i_light_weights(oxt_illuminant illuminant, oxt_observer observer,
                         double weight[3][OXT_I_STACK_WIDTH], double white_xyz[3])
{
    const double *light = oxt_i_illuminants[illuminant];
    const double(*eye)[3] = oxt_i_observers[observer];
    double brightness = 0.0;
    for (size_t i = 0; i < OXT_WAVELENGTH_COUNT; i++)
        brightness += eye[i][1] * light[i];
    white_xyz[0] = white_xyz[1] = white_xyz[2] = 0.0;
    for (size_t i = 0; i < OXT_WAVELENGTH_COUNT; i++)
        for (size_t j = 0; j < 3; j++) {
            weight[j][i] = 100.0 * eye[i][j] * light[i] / brightness;
            white_xyz[j] += weight[j][i];
        }
}

oxt_status oxt_light_white(oxt_illuminant illuminant, oxt_observer observer, double white_xyz[3],
                           oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!white_xyz)
        return oxt_i_null(error, "white_xyz");
    oxt_status status = oxt_i_check_light(illuminant, observer, error);
    if (status)
        return status;
    double weight[3][OXT_I_STACK_WIDTH];
    oxt_i_light_weights(illuminant, observer, weight, white_xyz);
    return OXT_OK;
}

/* CAT16: from XYZ to the sharpened cone space (Li and others 2017). */
static const double to_cones[3][3] = { { 0.401288, 0.650173, -0.051461 },
                                       { -0.250268, 1.204414, 0.045854 },
                                       { -0.002079, 0.048952, 0.953127 } };

static void cones_of(const double xyz[3], double cones[3])
{
    for (int i = 0; i < 3; i++)
        cones[i] = to_cones[i][0] * xyz[0] + to_cones[i][1] * xyz[1] + to_cones[i][2] * xyz[2];
}

/* The inverse: the columns of the inverse matrix are the cross products of two rows, over the
 * determinant. */
static void xyz_of(const double cones[3], double xyz[3])
{
    double inverse[3][3], determinant = 0.0;
    for (int i = 0; i < 3; i++) {
        const double *next = to_cones[(i + 1) % 3], *last = to_cones[(i + 2) % 3];
        for (int j = 0; j < 3; j++)
            inverse[j][i] = next[(j + 1) % 3] * last[(j + 2) % 3] -
                            next[(j + 2) % 3] * last[(j + 1) % 3];
    }
    for (int j = 0; j < 3; j++)
        determinant += to_cones[0][j] * inverse[j][0];
    for (int j = 0; j < 3; j++)
        xyz[j] = (inverse[j][0] * cones[0] + inverse[j][1] * cones[1] + inverse[j][2] * cones[2]) /
                 determinant;
}

oxt_status oxt_light_adapt(const double xyz[3], const double from_xyz[3], const double to_xyz[3],
                           double adapted_xyz[3], oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = oxt_i_check_three(error, "xyz", xyz, -1e6, 1e6, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check_three(error, "from_xyz", from_xyz, 0.0, 1e6, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check_three(error, "to_xyz", to_xyz, 0.0, 1e6, OXT_I_OPEN_LOW);
    if (!status && !adapted_xyz)
        status = oxt_i_null(error, "adapted_xyz");
    if (status)
        return status;
    double cones[3], from[3], to[3];
    cones_of(xyz, cones);
    cones_of(from_xyz, from);
    cones_of(to_xyz, to);
    for (int i = 0; i < 3; i++) {
        status = oxt_i_check(error, "from_xyz", from[i], 0.0, HUGE_VAL, OXT_I_OPEN_LOW);
        if (status)
            return status;
        cones[i] *= to[i] / from[i];
    }
    xyz_of(cones, adapted_xyz);
    return OXT_OK;
}
