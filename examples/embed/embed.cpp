/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The main job in C++17: fit one steel of a log, and say when to lift for blue at 600 F. It works with and without
 * exceptions.
 *
 *     c++ -std=c++17 embed.cpp $(pkg-config --cflags --libs oxtint) -o embed
 *     embed TRIALS.csv [STEEL [FINISH]] */
#include <oxtint.hpp>

#include <cstdio>
#include <thread>
#include <vector>

static int fail(const oxt_error &error)
{
    std::fprintf(stderr, "embed: %s\n", error.text);
    return EXIT_FAILURE;
}

/* A steel never changes: any number of threads may ask it. */
static std::vector<double> times_in(const oxt_steel *steel, const oxt_target &target,
                                    const std::vector<double> &baths_K)
{
    std::vector<double> times_s(baths_K.size());
    std::vector<std::thread> threads;
    for (std::size_t i = 0; i < baths_K.size(); i++)
        threads.emplace_back([&, i] {
            auto dip = oxtint::get(oxt_dip OXT_DIP_INIT, oxt_dip_predict, steel, &target, baths_K[i], nullptr);
            times_s[i] = dip ? dip->time_s : 0.0;
        });
    for (auto &thread : threads)
        thread.join();
    return times_s;
}

static int predict(const oxt_fit *fit, const oxt_film *film)
{
    /* the handle comes second here, so that the call is turned round */
    auto steel = oxtint::make<oxtint::steel>(
        [fit](oxt_steel **made, oxt_error *error) { return oxt_fit_steel(fit, made, error); });
    if (!steel)
        return fail(steel.error());
    auto target = oxtint::get(oxt_target OXT_TARGET_INIT, oxt_tint_target, film, "blue");
    if (!target)
        return fail(target.error());
    auto bath_K = oxtint::get(0.0, oxt_parse_temperature, "600 F");
    auto dip = oxtint::get(oxt_dip OXT_DIP_INIT, oxt_dip_predict, steel->get(), &*target, *bath_K, nullptr);
    if (!dip)
        return fail(dip.error());
    auto report = oxtint::text(oxt_dip_report, &*dip, OXT_UNIT_FAHRENHEIT, OXT_CAUTION_BRIEF);
    if (!report)
        return fail(report.error());
    std::fputs(report->c_str(), stdout);
    for (double time_s : times_in(steel->get(), *target, { *bath_K - 10.0, *bath_K, *bath_K + 10.0 }))
        std::printf("%.1f s\n", time_s);
    return EXIT_SUCCESS;
}

int main(int count, char **arguments)
{
    if (count < 2 || count > 4) {
        std::fputs("usage: embed TRIALS.csv [STEEL [FINISH]]\n", stderr);
        return 2;
    }
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.steel = count > 2 ? arguments[2] : "Alder 1";
    options.finish = count > 3 ? arguments[3] : count > 2 ? nullptr : "satin";
    auto film = oxtint::make<oxtint::film>(oxt_film_new, nullptr);
    auto log = oxtint::make<oxtint::trials>(oxt_trials_read_csv, arguments[1], nullptr, 0, nullptr, nullptr);
    if (!log)
        return fail(log.error());
#if defined(__cpp_exceptions)
    try {
        auto fit = oxtint::make<oxtint::fit>(oxt_fit_run, log->get(), film->get(), &options).value();
        return predict(fit.get(), film->get());
    } catch (const oxtint::failure &failure) {
        return fail(failure.detail);
    }
#else
    auto fit = oxtint::make<oxtint::fit>(oxt_fit_run, log->get(), film->get(), &options);
    return fit ? predict(fit->get(), film->get()) : fail(fit.error());
#endif
}
