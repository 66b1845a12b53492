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

-- One kind of hay in the books of one method; the version tells whoever read the state whether it still is the last one.
CREATE TABLE "costing_pool" (
    "operation_id" UUID NOT NULL,
    "costing_method" TEXT NOT NULL,
    "hay_kind" TEXT NOT NULL,
    "version" BIGINT NOT NULL DEFAULT 0,
    "last_on" DATE,
    "last_rank" INTEGER,
    "last_at" TIMESTAMPTZ(6),

    CONSTRAINT "costing_pool_pkey" PRIMARY KEY ("operation_id","costing_method","hay_kind")
);
ALTER TABLE "costing_pool" ADD CONSTRAINT "costing_pool_operation_id_fkey"
    FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

CREATE TABLE "costing_due" (
    "operation_id" UUID NOT NULL,
    "sequence" BIGSERIAL NOT NULL,
    "costing_method" TEXT NOT NULL,
    "hay_kind" TEXT NOT NULL,
    "from_on" DATE NOT NULL,
    "transaction_number" BIGINT NOT NULL,

    CONSTRAINT "costing_due_pkey" PRIMARY KEY ("operation_id","sequence")
);
CREATE INDEX "costing_due_pool_idx"
    ON "costing_due"("operation_id", "costing_method", "hay_kind", "transaction_number");
ALTER TABLE "costing_due" ADD CONSTRAINT "costing_due_operation_id_fkey"
    FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- Nothing of what stands in the books is written yet.
ALTER TABLE "operation" NO FORCE ROW LEVEL SECURITY;
ALTER TABLE "stock_movement" NO FORCE ROW LEVEL SECURITY;
ALTER TABLE "hay_lot" NO FORCE ROW LEVEL SECURITY;
INSERT INTO "costing_pool" ("operation_id", "costing_method", "hay_kind")
SELECT DISTINCT m."operation_id", o."costing_method", l."hay_kind"
  FROM "stock_movement" m
  JOIN "operation" o ON o."id" = m."operation_id"
  JOIN "hay_lot" l ON l."operation_id" = m."operation_id" AND l."id" = m."hay_lot_id";
INSERT INTO "costing_due" ("operation_id", "costing_method", "hay_kind", "from_on", "transaction_number")
SELECT "operation_id", "costing_method", "hay_kind", DATE '0001-01-01', 0 FROM "costing_pool";
