/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/sign.h"

void sign_hex(const uint8_t *bytes, size_t count, char *out)
{
    static const char digits[] = "0123456789abcdef";

    for (size_t i = 0; i < count; i++) {
        out[2 * i] = digits[bytes[i] >> 4];
        out[2 * i + 1] = digits[bytes[i] & 15];
    }
    out[2 * count] = '\0';
}

enum status sign_append(struct app *app, const char *table, const struct id *row, int64_t sequence,
                        enum meaning meaning, enum proof proof, struct error *error)
{
    uint8_t hash[32];
    char row_hash[2 * sizeof hash + 1], id[2 * sizeof row->bytes + 1];

    enum status status = store_hash_at(app->store, sequence, hash, error);
    if (status != STATUS_OK)
        return status;
    sign_hex(hash, sizeof hash, row_hash);
    sign_hex(row->bytes, sizeof row->bytes, id);
    struct signature signature = {.kind = table,
                                  .row = id,
                                  .row_hash = row_hash,
                                  .name = app_by(app),
                                  .meaning = meaning,
                                  .proof = proof};
    return store_append(app->store, RECORD_SIGNATURE, &signature, error);
}
