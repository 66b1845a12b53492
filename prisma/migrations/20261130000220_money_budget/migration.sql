-- Money planned for a line, a herd and a month. A later row of the same three revises it; without an amount it takes the
-- plan back.
CREATE TABLE "budget_entry" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "herd_id" UUID NOT NULL,
    "month_on" DATE NOT NULL,
    "line" TEXT NOT NULL,
    "amount_value" TEXT,
    "amount" DECIMAL(18,2),
    "currency" TEXT NOT NULL,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "budget_entry_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE INDEX "budget_entry_operation_id_month_on_idx" ON "budget_entry" ("operation_id", "month_on");

ALTER TABLE "budget_entry" ADD CONSTRAINT "budget_entry_operation_id_herd_id_fkey" FOREIGN KEY ("operation_id", "herd_id") REFERENCES "herd" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "budget_entry" ADD CONSTRAINT "budget_entry_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

ALTER TABLE budget_entry ADD CONSTRAINT budget_entry_amount CHECK (amount IS NULL OR amount >= 0),
  ADD CONSTRAINT budget_entry_month CHECK (EXTRACT(day FROM month_on) = 1);
