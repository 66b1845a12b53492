-- What was unlikely of an entry and was confirmed by the request that made it.
CREATE TABLE "confirmed_entry" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "subject_kind" TEXT NOT NULL,
    "subject_id" UUID NOT NULL,
    "happened_on" DATE NOT NULL,
    "code" TEXT NOT NULL,
    "pointer" TEXT NOT NULL,
    "given" TEXT NOT NULL,
    "usual" TEXT NOT NULL,
    "source" TEXT NOT NULL,
    "message" TEXT NOT NULL,
    "about_money" BOOLEAN NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "confirmed_entry_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE INDEX "confirmed_entry_operation_id_subject_id_idx" ON "confirmed_entry" ("operation_id", "subject_id");
CREATE INDEX "confirmed_entry_operation_id_happened_on_id_idx" ON "confirmed_entry" ("operation_id", "happened_on", "id");

ALTER TABLE "confirmed_entry" ADD CONSTRAINT "confirmed_entry_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "confirmed_entry" ADD CONSTRAINT "confirmed_entry_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
