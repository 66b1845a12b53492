-- Which entry another one corrects, whether that is in a closed period or not; until now it was kept for closed ones only.
CREATE TABLE "entry_correction" (
    "operation_id" UUID NOT NULL,
    "subject_id" UUID NOT NULL,
    "subject_kind" TEXT NOT NULL,
    "corrects_id" UUID NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "entry_correction_pkey" PRIMARY KEY ("operation_id", "subject_id")
);
CREATE INDEX "entry_correction_operation_id_corrects_id_idx" ON "entry_correction" ("operation_id", "corrects_id");
ALTER TABLE "entry_correction" ADD CONSTRAINT "entry_correction_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
