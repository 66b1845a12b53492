-- What each entry of the hay ledger cost is written down, by method, instead of being replayed for each report.
CREATE TABLE "costed_entry" (
    "operation_id" UUID NOT NULL,
    "costing_method" TEXT NOT NULL,
    "entry_id" UUID NOT NULL,
    "hay_kind" TEXT NOT NULL,
    "effective_on" DATE NOT NULL,
    "herd_id" UUID,
    "kilograms" DECIMAL(24,12) NOT NULL,
    "amount" DECIMAL(18,2) NOT NULL,
    "variance" DECIMAL(18,2),

    CONSTRAINT "costed_entry_pkey" PRIMARY KEY ("operation_id","costing_method","entry_id")
);
CREATE INDEX "costed_entry_operation_id_costing_method_hay_kind_effective_idx"
    ON "costed_entry"("operation_id", "costing_method", "hay_kind", "effective_on");
CREATE INDEX "costed_entry_days_idx"
    ON "costed_entry"("operation_id", "costing_method", "effective_on", "herd_id", "hay_kind", "kilograms", "amount");
ALTER TABLE "costed_entry" ADD CONSTRAINT "costed_entry_operation_id_herd_id_fkey"
    FOREIGN KEY ("operation_id", "herd_id") REFERENCES "herd"("operation_id", "id")
    ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "costed_entry" ADD CONSTRAINT "costed_entry_operation_id_fkey"
    FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

CREATE TABLE "costing_state" (
    "operation_id" UUID NOT NULL,
    "costing_method" TEXT NOT NULL,
    "hay_kind" TEXT NOT NULL,
    "until_on" DATE NOT NULL,
    "state" JSONB NOT NULL,

    CONSTRAINT "costing_state_pkey" PRIMARY KEY ("operation_id","costing_method","hay_kind","until_on")
);
ALTER TABLE "costing_state" ADD CONSTRAINT "costing_state_operation_id_fkey"
    FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

CREATE TABLE "costing_due" (
    "operation_id" UUID NOT NULL,
    "sequence" BIGSERIAL NOT NULL,
    "costing_method" TEXT NOT NULL,
    "hay_kind" TEXT NOT NULL,
    "from_on" DATE NOT NULL,

    CONSTRAINT "costing_due_pkey" PRIMARY KEY ("operation_id","sequence")
);
ALTER TABLE "costing_due" ADD CONSTRAINT "costing_due_operation_id_fkey"
    FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- Nothing of what stands in the books is written yet.
ALTER TABLE "stock_movement" NO FORCE ROW LEVEL SECURITY;
ALTER TABLE "hay_lot" NO FORCE ROW LEVEL SECURITY;
INSERT INTO "costing_due" ("operation_id", "costing_method", "hay_kind", "from_on")
SELECT m."operation_id", method.name, l."hay_kind", min(m."effective_on")
  FROM "stock_movement" m
  JOIN "hay_lot" l ON l."operation_id" = m."operation_id" AND l."id" = m."hay_lot_id"
 CROSS JOIN (VALUES ('specific-lot'), ('moving-average'), ('fifo')) AS method (name)
 GROUP BY m."operation_id", method.name, l."hay_kind";
