/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The templates of the forms, one each. Which one a kind has: form_template(). */
#ifndef SPRINGLINE_APP_FORM_TEMPLATES_H
#define SPRINGLINE_APP_FORM_TEMPLATES_H

#include "form_private.h"

extern const struct form_template form_template_new_patient;
extern const struct form_template form_template_new_case;
extern const struct form_template form_template_patient;
extern const struct form_template form_template_case;
extern const struct form_template form_template_questions;
extern const struct form_template form_template_fit;
extern const struct form_template form_template_trainer;
extern const struct form_template form_template_repair;
extern const struct form_template form_template_out;
extern const struct form_template form_template_passive;
extern const struct form_template form_template_check;
extern const struct form_template form_template_missed;
extern const struct form_template form_template_elsewhere;
extern const struct form_template form_template_width;
extern const struct form_template form_template_wear;
extern const struct form_template form_template_teeth;
extern const struct form_template form_template_arch_size;
extern const struct form_template form_template_plan;
extern const struct form_template form_template_contact;
extern const struct form_template form_template_booking;
extern const struct form_template form_template_booking_end;
extern const struct form_template form_template_close;
extern const struct form_template form_template_protocol;
extern const struct form_template form_template_setting;
extern const struct form_template form_template_person;
extern const struct form_template form_template_correct;
extern const struct form_template form_template_withdraw;

#endif
