/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SPRINGLINE_CLI_EXPORT_PATIENT_H
#define SPRINGLINE_CLI_EXPORT_PATIENT_H

#include "springline/cli/commands.h"

/* export --patient: everything of one patient into a new folder. STATUS_INPUT: something is there
 * already. On any failure nothing is left. */
enum status export_patient(struct cli_session *session, const char *chart, const char *folder,
                           struct error *error);

#endif
