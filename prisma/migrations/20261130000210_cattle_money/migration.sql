-- What cattle were bought, sold or valued at when they came or went; beside the head change, so that it can be hidden.
CREATE TABLE "head_change_price" (
    "operation_id" UUID NOT NULL,
    "head_change_id" UUID NOT NULL,
    "happened_on" DATE NOT NULL,
    "how" TEXT NOT NULL,
    "basis" TEXT NOT NULL,
    "price_value" TEXT NOT NULL,
    "price_unit" TEXT NOT NULL,
    "pencil_shrink_pct" TEXT,
    "pay_weight_kg" DECIMAL(24,12),
    "amount" DECIMAL(18,2) NOT NULL,
    "currency" TEXT NOT NULL,
    "party" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "head_change_price_pkey" PRIMARY KEY ("operation_id", "head_change_id")
);

-- What a herd cost besides hay, other feed and yardage: a bill of the veterinarian, of a hauler, of a sale.
CREATE TABLE "herd_cost" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "herd_id" UUID NOT NULL,
    "kind" TEXT NOT NULL,
    "happened_on" DATE NOT NULL,
    "payee" TEXT NOT NULL,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "herd_cost_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "herd_cost_money" (
    "operation_id" UUID NOT NULL,
    "herd_cost_id" UUID NOT NULL,
    "amount_value" TEXT NOT NULL,
    "amount" DECIMAL(18,2) NOT NULL,
    "currency" TEXT NOT NULL,

    CONSTRAINT "herd_cost_money_pkey" PRIMARY KEY ("operation_id", "herd_cost_id")
);

CREATE INDEX "herd_cost_operation_id_happened_on_id_idx" ON "herd_cost" ("operation_id", "happened_on", "id");
CREATE INDEX "herd_cost_operation_id_herd_id_happened_on_idx" ON "herd_cost" ("operation_id", "herd_id", "happened_on");

ALTER TABLE "head_change_price" ADD CONSTRAINT "head_change_price_operation_id_head_change_id_fkey" FOREIGN KEY ("operation_id", "head_change_id") REFERENCES "head_change" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "head_change_price" ADD CONSTRAINT "head_change_price_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "herd_cost" ADD CONSTRAINT "herd_cost_operation_id_herd_id_fkey" FOREIGN KEY ("operation_id", "herd_id") REFERENCES "herd" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "herd_cost" ADD CONSTRAINT "herd_cost_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "herd_cost_money" ADD CONSTRAINT "herd_cost_money_operation_id_herd_cost_id_fkey" FOREIGN KEY ("operation_id", "herd_cost_id") REFERENCES "herd_cost" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

ALTER TABLE head_change_price ADD CONSTRAINT head_change_price_amount CHECK (amount >= 0),
  ADD CONSTRAINT head_change_price_weight CHECK (pay_weight_kg IS NULL OR pay_weight_kg > 0);
ALTER TABLE herd_cost_money ADD CONSTRAINT herd_cost_money_amount CHECK (amount <> 0);
