/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <oxtint.h>

const char *plugin_version(void);

const char *plugin_version(void)
{
    return oxt_version();
}
