/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file faults.h: what is wrong in a file of CSV or in a table in memory, all of it, with its place. */
#ifndef OXTINT_FAULTS_H
#define OXTINT_FAULTS_H

#include "oxtint/error.h"

/** One fault of a file, or of a table in memory. */
typedef struct oxt_fault {
    size_t struct_size;
    size_t line;        /* line of the file, from 1; 0 for the whole file */
    char column[48];    /* column as its header names it, "" for the whole line */
    char found[64];     /* the offending text, cut to fit */
    char expected[256]; /* what was expected there */
    size_t row;         /* row of a table in memory, from 1; 0 for a file, or for the whole table */
} oxt_fault;

#define OXT_FAULT_INIT { sizeof(oxt_fault), 0, "", "", "", 0 }

/** All faults of one file: opaque, immutable. */
typedef struct oxt_faults oxt_faults;

OXT_BEGIN_DECLS

/**
 * Number of faults of a file.
 *
 * Given:
 *   faults   the faults
 * Returned:
 *   how many there are, also those that are only counted; 0 for NULL
 */
OXT_API size_t oxt_faults_count(const oxt_faults *faults);

/**
 * One fault of a file.
 *
 * Given:
 *   faults   the faults
 *   index    0 to oxt_faults_count - 1, at most 999
 * Returned:
 *   fault    a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_faults_get(const oxt_faults *faults, size_t index, oxt_fault *fault,
                                  oxt_error *error);

/**
 * All faults as text, a line each.
 *
 * Given:
 *   faults              the faults
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_faults_report(const oxt_faults *faults, char *buffer, size_t capacity,
                                     size_t *needed, oxt_error *error);

/**
 * Free the faults of a file.
 *
 * Given:
 *   faults   NULL is ignored
 */
OXT_API void oxt_faults_free(oxt_faults *faults);

OXT_END_DECLS

#endif
