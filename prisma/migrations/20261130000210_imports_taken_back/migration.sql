-- An import that was taken back as a whole: when, why and how many of its records were reversed with it.
CREATE TABLE "data_import_reversal" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "data_import_id" UUID NOT NULL,
    "effective_on" DATE,
    "reason" TEXT NOT NULL,
    "record_count" INTEGER NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "data_import_reversal_pkey" PRIMARY KEY ("operation_id", "id"),
    CONSTRAINT "data_import_reversal_record_count" CHECK ("record_count" > 0),
    CONSTRAINT "data_import_reversal_reason" CHECK (btrim("reason") <> '')
);

CREATE UNIQUE INDEX "data_import_reversal_operation_id_data_import_id_key" ON "data_import_reversal"("operation_id", "data_import_id");

ALTER TABLE "data_import_reversal" ADD CONSTRAINT "data_import_reversal_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "data_import_reversal" ADD CONSTRAINT "data_import_reversal_operation_id_data_import_id_fkey" FOREIGN KEY ("operation_id", "data_import_id") REFERENCES "data_import"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "data_import_reversal" ADD CONSTRAINT "data_import_reversal_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
