/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What advised coupons are worth beside an even grid, over many made-up shops. Not a test.
 *
 *     build/release/tests/bench/bench_advise 20000
 */
#include <stdbool.h>
#include <stdlib.h>

#include "oxtint.h"

#define OK(call)                                                          \
    do {                                                                  \
        if ((call) != OXT_OK) {                                           \
            fprintf(stderr, "bench_advise: %s: %s\n", #call, error.text); \
            exit(1);                                                      \
        }                                                                 \
    } while (0)

static oxt_film *film;

static const oxt_film *default_film(void)
{
    return film;
}

#include "../c/shops.h"

static void show(const char *what, int shops, const shop_rules *rules)
{
    shop_outcome of = shop_run(1, shops, rules);
    printf(
        "%-50s %5.1f nm: advised %.3f (promised %.3f), even grid %.3f; %.1f %% narrower, wider in "
        "%.1f %%; promise missed in %.1f %%\n",
        what, rules->middle_nm, of.advised, of.predicted, of.even, -100.0 * expm1(of.log_ratio),
        100.0 * of.wider, 100.0 * of.missed);
}

int main(int argc, char **argv)
{
    static const double middles_nm[] = { 24.8, 34.2, 54.9 };
    oxt_error error = OXT_ERROR_INIT;
    int shops = argc > 1 ? atoi(argv[1]) : 2000;
    OK(oxt_film_new(&film, NULL, &error));
    for (int i = 0; i < 3; i++) {
        show("scatter given", shops, &(shop_rules){ SHOP_SCATTER, middles_nm[i], 1, false, false });
        show("scatter estimated", shops, &(shop_rules){ -1.0, middles_nm[i], 1, false, false });
    }
    show("scatter given, dip in the middle of the log", shops,
         &(shop_rules){ SHOP_SCATTER, 54.9, 1, false, true });
    show("scatter estimated, dip in the middle of the log", shops,
         &(shop_rules){ -1.0, 54.9, 1, false, true });
    show("scatter estimated, bare names", shops, &(shop_rules){ -1.0, 54.9, 1, true, false });
    show("scatter estimated, second order", shops, &(shop_rules){ -1.0, 54.9, 2, false, false });
    show("scatter estimated, second order, bare names", shops,
         &(shop_rules){ -1.0, 54.9, 2, true, false });
    shop_promises first = shop_one_by_one(1, shops);
    for (int i = 0; i < SHOP_FIRST; i++)
        printf("coupon %d of a steel that has not been tried: promise missed in %.1f %%, interval "
               "holds in %.1f %%\n",
               i + 1, 100.0 * first.missed[i] / first.counted[i],
               100.0 * first.covered[i] / first.counted[i]);
    static const char *const ways[SHOP_WAYS] = { "advised for the law", "advised, second order too",
                                                 "advised for both constants", "grid of baths",
                                                 "grid of baths and films" };
    static const double truths[] = { 3.0, 2.5, 2.0 };
    for (int i = 0; i < 3 * SHOP_WAYS; i++) {
        int way = i % SHOP_WAYS;
        double n = truths[i / SHOP_WAYS];
        shop_law_outcome of = shop_tell_law(1, shops, n, (shop_way)way);
        printf("x^%g, %-26s: %.1f coupons more until told, told in %.1f %%; error of m after two "
               "over the promised %.2f\n",
               n, ways[way], of.coupons, 100.0 * of.told, of.promised_ratio);
    }
    oxt_film_free(film);
    return 0;
}
