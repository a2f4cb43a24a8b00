/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file oxtint.hpp: handles that free themselves, and results that hold a value or an error, for C++17.
 *
 * Three calls serve the whole library, by where a function has what it gives:
 *
 *     auto fit = oxtint::make<oxtint::fit>(oxt_fit_run, log->get(), film->get(), nullptr);    // first: a handle
 *     auto dip = oxtint::get(oxt_dip{ OXT_DIP_INIT }, oxt_dip_predict, steel, &blue, bath_K, nullptr);  // last
 *     auto report = oxtint::text(oxt_dip_report, &*dip, OXT_UNIT_FAHRENHEIT, OXT_CAUTION_BRIEF);   // a text
 *
 * Each gives a result, which is true when it holds a value; else error() says what was wrong. With exceptions
 * value() throws that error; nothing else here throws but std::bad_alloc, and the library itself never does. All of
 * it works with -fno-exceptions too.
 */
#ifndef OXTINT_HPP
#define OXTINT_HPP

#include <memory>
#include <string>
#include <utility>

#include "oxtint.h"

#if defined(__cpp_exceptions)
#include <stdexcept>
#endif

namespace oxtint {

template <auto Free> struct freed_by {
    template <typename T> void operator()(T *handle) const noexcept { Free(handle); }
};

/* Handles: moved, not copied; get() is what the functions in C take. */
using advice = std::unique_ptr<oxt_advise, freed_by<oxt_advise_free>>;
using bootstrap = std::unique_ptr<oxt_bootstrap, freed_by<oxt_bootstrap_free>>;
using faults = std::unique_ptr<oxt_faults, freed_by<oxt_faults_free>>;
using film = std::unique_ptr<oxt_film, freed_by<oxt_film_free>>;
using fit = std::unique_ptr<oxt_fit, freed_by<oxt_fit_free>>;
using fits = std::unique_ptr<oxt_fit_each, freed_by<oxt_fit_each_free>>;
using history = std::unique_ptr<oxt_history, freed_by<oxt_history_free>>;
using laws = std::unique_ptr<oxt_laws, freed_by<oxt_laws_free>>;
using material = std::unique_ptr<oxt_material, freed_by<oxt_material_free>>;
using pool = std::unique_ptr<oxt_pool, freed_by<oxt_pool_free>>;
using set = std::unique_ptr<oxt_plan, freed_by<oxt_plan_free>>;
using steel = std::unique_ptr<oxt_steel, freed_by<oxt_steel_free>>;
using tracker = std::unique_ptr<oxt_track, freed_by<oxt_track_free>>;
using trials = std::unique_ptr<oxt_trials, freed_by<oxt_trials_free>>;
using words = std::unique_ptr<oxt_words, freed_by<oxt_words_free>>;

#if defined(__cpp_exceptions)
/** What result::value() throws; what() is the sentence. */
struct failure : std::runtime_error {
    oxt_error detail;
    explicit failure(const oxt_error &error) : std::runtime_error(error.text), detail(error) {}
};
#endif

/** A value, or what was wrong. */
template <typename T> class [[nodiscard]] result {
public:
    explicit result(const oxt_error &error) : error_(error) {}
    explicit result(T value) : value_(std::move(value)) {}
    explicit operator bool() const noexcept { return error_.status == OXT_OK; }
    /* Only of a result that is true. */
    T &operator*() noexcept { return value_; }
    const T &operator*() const noexcept { return value_; }
    T *operator->() noexcept { return &value_; }
    const T *operator->() const noexcept { return &value_; }
    /* Its status is OXT_OK when there is a value. */
    const oxt_error &error() const noexcept { return error_; }
#if defined(__cpp_exceptions)
    T value() &&
    {
        if (!*this)
            throw failure(error_);
        return std::move(value_);
    }
#endif

private:
    T value_{};
    oxt_error error_ = OXT_ERROR_INIT;
};

/** A handle from a function that gives it first: oxt_..._new, _read, _load, _run, oxt_fit_steel with its object behind. */
template <typename Handle, typename Function, typename... Arguments>
result<Handle> make(Function function, Arguments... arguments)
{
    oxt_error error = OXT_ERROR_INIT;
    typename Handle::pointer made = nullptr;
    if (function(&made, arguments..., &error) != OXT_OK)
        return result<Handle>(error);
    return result<Handle>(Handle(made));
}

/** A number or a struct from a function that gives it last, before the error; a struct comes with its ..._INIT. */
template <typename T, typename Function, typename... Arguments>
result<T> get(T value, Function function, Arguments... arguments)
{
    oxt_error error = OXT_ERROR_INIT;
    if (function(arguments..., &value, &error) != OXT_OK)
        return result<T>(error);
    return result<T>(std::move(value));
}

/** A text of any length from a function that takes a buffer, its capacity and the needed length. */
template <typename Function, typename... Arguments>
result<std::string> text(Function function, Arguments... arguments)
{
    oxt_error error = OXT_ERROR_INIT;
    std::size_t needed = 0;
    if (function(arguments..., nullptr, 0, &needed, &error) != OXT_OK)
        return result<std::string>(error);
    std::string made(needed + 1, '\0');
    if (function(arguments..., &made[0], made.size(), nullptr, &error) != OXT_OK)
        return result<std::string>(error);
    made.resize(needed);
    return result<std::string>(std::move(made));
}

} // namespace oxtint

#endif
