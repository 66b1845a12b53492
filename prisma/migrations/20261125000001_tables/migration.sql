-- CreateSchema
CREATE SCHEMA IF NOT EXISTS "public";

-- CreateTable
CREATE TABLE "person" (
    "id" UUID NOT NULL,
    "email" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "passphrase_hash" TEXT,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "person_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "person_session" (
    "id" UUID NOT NULL,
    "person_id" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "ended_at" TIMESTAMPTZ(6),
    "ended_reason" TEXT,
    "user_agent" TEXT,

    CONSTRAINT "person_session_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "session_token" (
    "id" UUID NOT NULL,
    "session_id" UUID NOT NULL,
    "person_id" UUID NOT NULL,
    "access_hash" TEXT NOT NULL,
    "access_expires_at" TIMESTAMPTZ(6) NOT NULL,
    "refresh_hash" TEXT NOT NULL,
    "refresh_expires_at" TIMESTAMPTZ(6) NOT NULL,
    "refreshed_at" TIMESTAMPTZ(6),
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "session_token_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "sign_in_attempt" (
    "id" UUID NOT NULL,
    "subject_hash" TEXT NOT NULL,
    "attempted_at" TIMESTAMPTZ(6) NOT NULL,

    CONSTRAINT "sign_in_attempt_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "operation" (
    "id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "unit_preference" TEXT NOT NULL,
    "currency" TEXT NOT NULL,
    "time_zone" TEXT NOT NULL,
    "costing_method" TEXT NOT NULL,
    "invented" BOOLEAN NOT NULL DEFAULT false,
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "operation_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "membership" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "person_id" UUID NOT NULL,
    "role" TEXT NOT NULL,
    "sees_prices" BOOLEAN NOT NULL,
    "from_at" TIMESTAMPTZ(6) NOT NULL,
    "until_at" TIMESTAMPTZ(6),
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "membership_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "api_key" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "secret_hash" TEXT NOT NULL,
    "scopes" TEXT[],
    "expires_at" TIMESTAMPTZ(6) NOT NULL,
    "created_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "revoked_at" TIMESTAMPTZ(6),
    "last_used_at" TIMESTAMPTZ(6),
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "api_key_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "audit_entry" (
    "operation_id" UUID NOT NULL,
    "sequence" BIGINT NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "person_id" UUID,
    "api_key_id" UUID,
    "request_id" TEXT NOT NULL,
    "address" TEXT NOT NULL,
    "action" TEXT NOT NULL,
    "subject_kind" TEXT NOT NULL,
    "subject_id" UUID,
    "before" JSONB,
    "after" JSONB,
    "chain_hash" TEXT NOT NULL,

    CONSTRAINT "audit_entry_pkey" PRIMARY KEY ("operation_id","sequence")
);

-- CreateTable
CREATE TABLE "idempotency_record" (
    "actor" TEXT NOT NULL,
    "route" TEXT NOT NULL,
    "key" TEXT NOT NULL,
    "payload_hash" TEXT NOT NULL,
    "status" INTEGER,
    "answer" JSONB,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "expires_at" TIMESTAMPTZ(6) NOT NULL,

    CONSTRAINT "idempotency_record_pkey" PRIMARY KEY ("actor","route","key")
);

-- CreateTable
CREATE TABLE "ranch" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "time_zone" TEXT NOT NULL,
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "ranch_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "place" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "ranch_id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "bunk_length_value" TEXT,
    "bunk_length_unit" TEXT,
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "place_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "herd" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "ranch_id" UUID NOT NULL,
    "place_id" UUID,
    "name" TEXT NOT NULL,
    "cattle_class" TEXT NOT NULL,
    "sex" TEXT NOT NULL,
    "breed_type" TEXT NOT NULL,
    "body_weight_kg" DECIMAL(24,12) NOT NULL,
    "body_weight_value" TEXT NOT NULL,
    "body_weight_unit" TEXT NOT NULL,
    "mature_weight_kg" DECIMAL(24,12),
    "mature_weight_value" TEXT,
    "mature_weight_unit" TEXT,
    "body_condition" DECIMAL(3,1),
    "bred_on" DATE,
    "calved_on" DATE,
    "peak_milk_kg" DECIMAL(24,12),
    "peak_milk_value" TEXT,
    "peak_milk_unit" TEXT,
    "target_gain_kg" DECIMAL(24,12),
    "target_gain_value" TEXT,
    "target_gain_unit" TEXT,
    "note" TEXT,
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "herd_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "head_change" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "herd_id" UUID NOT NULL,
    "kind" TEXT NOT NULL,
    "head" INTEGER NOT NULL,
    "happened_on" DATE NOT NULL,
    "other_herd_id" UUID,
    "move_id" UUID,
    "reverses_id" UUID,
    "mean_weight_kg" DECIMAL(24,12),
    "mean_weight_value" TEXT,
    "mean_weight_unit" TEXT,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "head_change_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "hay_lot" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "ranch_id" UUID NOT NULL,
    "place_id" UUID,
    "name" TEXT NOT NULL,
    "category" TEXT NOT NULL,
    "hay_kind" TEXT NOT NULL,
    "cutting" INTEGER,
    "harvested_on" DATE,
    "origin" TEXT NOT NULL,
    "bale_form" TEXT NOT NULL,
    "storage_method" TEXT NOT NULL,
    "stored_since" DATE,
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "hay_lot_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "hay_purchase" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "hay_lot_id" UUID NOT NULL,
    "vendor" TEXT NOT NULL,
    "happened_on" DATE NOT NULL,
    "bale_count" INTEGER,
    "weight_basis" TEXT NOT NULL,
    "weight_kg" DECIMAL(24,12) NOT NULL,
    "weight_value" TEXT NOT NULL,
    "weight_unit" TEXT NOT NULL,
    "bale_weight_value" TEXT,
    "bale_weight_unit" TEXT,
    "bales_weighed" INTEGER,
    "bale_weight_sd" TEXT,
    "moisture_pct" DECIMAL(6,3),
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "hay_purchase_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "hay_purchase_price" (
    "operation_id" UUID NOT NULL,
    "hay_purchase_id" UUID NOT NULL,
    "basis" TEXT NOT NULL,
    "price_value" TEXT NOT NULL,
    "price_unit" TEXT NOT NULL,
    "hay_amount" DECIMAL(18,2) NOT NULL,
    "freight_amount" DECIMAL(18,2) NOT NULL,
    "charges_amount" DECIMAL(18,2) NOT NULL,
    "currency" TEXT NOT NULL,

    CONSTRAINT "hay_purchase_price_pkey" PRIMARY KEY ("operation_id","hay_purchase_id")
);

-- CreateTable
CREATE TABLE "stock_movement" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "hay_lot_id" UUID NOT NULL,
    "sequence" BIGSERIAL NOT NULL,
    "kind" TEXT NOT NULL,
    "kilograms" DECIMAL(24,12) NOT NULL,
    "typed_value" TEXT NOT NULL,
    "typed_unit" TEXT NOT NULL,
    "effective_on" DATE NOT NULL,
    "effective_at" TIMESTAMPTZ(6) NOT NULL,
    "ranch_id" UUID NOT NULL,
    "place_id" UUID,
    "herd_id" UUID,
    "source_kind" TEXT NOT NULL,
    "source_id" UUID NOT NULL,
    "reverses_id" UUID,
    "reason" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "stock_movement_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "stock_cost" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "hay_lot_id" UUID NOT NULL,
    "stock_movement_id" UUID,
    "sequence" BIGSERIAL NOT NULL,
    "kind" TEXT NOT NULL,
    "amount" DECIMAL(18,2) NOT NULL,
    "currency" TEXT NOT NULL,
    "effective_on" DATE NOT NULL,
    "source_kind" TEXT NOT NULL,
    "source_id" UUID NOT NULL,
    "reverses_id" UUID,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "stock_cost_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "lab_test" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "hay_lot_id" UUID NOT NULL,
    "lab" TEXT NOT NULL,
    "sampled_on" DATE NOT NULL,
    "method" TEXT NOT NULL,
    "basis" TEXT NOT NULL,
    "cores" INTEGER,
    "bales_sampled" INTEGER,
    "analysis" JSONB NOT NULL,
    "warnings" JSONB NOT NULL,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "lab_test_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "feeding" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "herd_id" UUID NOT NULL,
    "ranch_id" UUID NOT NULL,
    "place_id" UUID,
    "happened_on" DATE NOT NULL,
    "happened_at" TIMESTAMPTZ(6),
    "head_fed" INTEGER NOT NULL,
    "method" TEXT NOT NULL,
    "weather" TEXT NOT NULL,
    "refused_kg" DECIMAL(24,12),
    "refused_value" TEXT,
    "refused_unit" TEXT,
    "wasted_kg" DECIMAL(24,12),
    "wasted_value" TEXT,
    "wasted_unit" TEXT,
    "blended" BOOLEAN NOT NULL DEFAULT false,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "feeding_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "feeding_layer" (
    "operation_id" UUID NOT NULL,
    "feeding_id" UUID NOT NULL,
    "position" INTEGER NOT NULL,
    "part" INTEGER NOT NULL,
    "role" TEXT NOT NULL,
    "hay_lot_id" UUID NOT NULL,
    "kilograms" DECIMAL(24,12) NOT NULL,
    "typed_value" TEXT NOT NULL,
    "typed_unit" TEXT NOT NULL,
    "bale_count" DECIMAL(12,3),

    CONSTRAINT "feeding_layer_pkey" PRIMARY KEY ("operation_id","feeding_id","position","part")
);

-- CreateTable
CREATE TABLE "weigh_in" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "herd_id" UUID NOT NULL,
    "happened_on" DATE NOT NULL,
    "happened_at" TIMESTAMPTZ(6),
    "scope" TEXT NOT NULL,
    "fill" TEXT NOT NULL,
    "shrink_pct" DECIMAL(6,3),
    "hours_off_feed" DECIMAL(6,2),
    "scale" TEXT,
    "head" INTEGER NOT NULL,
    "mean_kg" DECIMAL(24,12) NOT NULL,
    "typed_value" TEXT NOT NULL,
    "typed_unit" TEXT NOT NULL,
    "typed_measure" TEXT NOT NULL,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "weigh_in_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "animal_weight" (
    "operation_id" UUID NOT NULL,
    "weigh_in_id" UUID NOT NULL,
    "position" INTEGER NOT NULL,
    "visual_tag" TEXT,
    "electronic_id" TEXT,
    "kilograms" DECIMAL(24,12) NOT NULL,
    "typed_value" TEXT NOT NULL,
    "typed_unit" TEXT NOT NULL,

    CONSTRAINT "animal_weight_pkey" PRIMARY KEY ("operation_id","weigh_in_id","position")
);

-- CreateTable
CREATE TABLE "yardage_rate" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "herd_id" UUID,
    "from_on" DATE NOT NULL,
    "amount" DECIMAL(18,4) NOT NULL,
    "currency" TEXT NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "yardage_rate_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "reversal" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "subject_kind" TEXT NOT NULL,
    "subject_id" UUID NOT NULL,
    "effective_on" DATE NOT NULL,
    "reason" TEXT NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "reversal_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateIndex
CREATE UNIQUE INDEX "person_email_key" ON "person"("email");

-- CreateIndex
CREATE INDEX "person_session_person_id_idx" ON "person_session"("person_id");

-- CreateIndex
CREATE UNIQUE INDEX "session_token_access_hash_key" ON "session_token"("access_hash");

-- CreateIndex
CREATE UNIQUE INDEX "session_token_refresh_hash_key" ON "session_token"("refresh_hash");

-- CreateIndex
CREATE INDEX "session_token_session_id_idx" ON "session_token"("session_id");

-- CreateIndex
CREATE INDEX "sign_in_attempt_subject_hash_attempted_at_idx" ON "sign_in_attempt"("subject_hash", "attempted_at");

-- CreateIndex
CREATE INDEX "membership_person_id_idx" ON "membership"("person_id");

-- CreateIndex
CREATE UNIQUE INDEX "api_key_id_key" ON "api_key"("id");

-- CreateIndex
CREATE INDEX "idempotency_record_expires_at_idx" ON "idempotency_record"("expires_at");

-- CreateIndex
CREATE INDEX "place_operation_id_ranch_id_idx" ON "place"("operation_id", "ranch_id");

-- CreateIndex
CREATE INDEX "herd_operation_id_ranch_id_idx" ON "herd"("operation_id", "ranch_id");

-- CreateIndex
CREATE INDEX "head_change_operation_id_herd_id_happened_on_idx" ON "head_change"("operation_id", "herd_id", "happened_on");

-- CreateIndex
CREATE UNIQUE INDEX "head_change_operation_id_reverses_id_key" ON "head_change"("operation_id", "reverses_id");

-- CreateIndex
CREATE INDEX "hay_lot_operation_id_ranch_id_idx" ON "hay_lot"("operation_id", "ranch_id");

-- CreateIndex
CREATE INDEX "hay_purchase_operation_id_happened_on_idx" ON "hay_purchase"("operation_id", "happened_on");

-- CreateIndex
CREATE INDEX "stock_movement_operation_id_hay_lot_id_effective_at_sequenc_idx" ON "stock_movement"("operation_id", "hay_lot_id", "effective_at", "sequence");

-- CreateIndex
CREATE INDEX "stock_movement_operation_id_effective_on_idx" ON "stock_movement"("operation_id", "effective_on");

-- CreateIndex
CREATE INDEX "stock_movement_operation_id_source_id_idx" ON "stock_movement"("operation_id", "source_id");

-- CreateIndex
CREATE UNIQUE INDEX "stock_movement_operation_id_reverses_id_key" ON "stock_movement"("operation_id", "reverses_id");

-- CreateIndex
CREATE INDEX "stock_cost_operation_id_hay_lot_id_effective_on_idx" ON "stock_cost"("operation_id", "hay_lot_id", "effective_on");

-- CreateIndex
CREATE UNIQUE INDEX "stock_cost_operation_id_reverses_id_key" ON "stock_cost"("operation_id", "reverses_id");

-- CreateIndex
CREATE INDEX "lab_test_operation_id_hay_lot_id_sampled_on_idx" ON "lab_test"("operation_id", "hay_lot_id", "sampled_on");

-- CreateIndex
CREATE INDEX "feeding_operation_id_herd_id_happened_on_idx" ON "feeding"("operation_id", "herd_id", "happened_on");

-- CreateIndex
CREATE INDEX "feeding_layer_operation_id_hay_lot_id_idx" ON "feeding_layer"("operation_id", "hay_lot_id");

-- CreateIndex
CREATE INDEX "weigh_in_operation_id_herd_id_happened_on_idx" ON "weigh_in"("operation_id", "herd_id", "happened_on");

-- CreateIndex
CREATE INDEX "yardage_rate_operation_id_from_on_idx" ON "yardage_rate"("operation_id", "from_on");

-- CreateIndex
CREATE UNIQUE INDEX "reversal_operation_id_subject_id_key" ON "reversal"("operation_id", "subject_id");

-- AddForeignKey
ALTER TABLE "person_session" ADD CONSTRAINT "person_session_person_id_fkey" FOREIGN KEY ("person_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "session_token" ADD CONSTRAINT "session_token_session_id_fkey" FOREIGN KEY ("session_id") REFERENCES "person_session"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "session_token" ADD CONSTRAINT "session_token_person_id_fkey" FOREIGN KEY ("person_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "membership" ADD CONSTRAINT "membership_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "membership" ADD CONSTRAINT "membership_person_id_fkey" FOREIGN KEY ("person_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "api_key" ADD CONSTRAINT "api_key_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "api_key" ADD CONSTRAINT "api_key_created_by_fkey" FOREIGN KEY ("created_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "audit_entry" ADD CONSTRAINT "audit_entry_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "ranch" ADD CONSTRAINT "ranch_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "place" ADD CONSTRAINT "place_operation_id_ranch_id_fkey" FOREIGN KEY ("operation_id", "ranch_id") REFERENCES "ranch"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "herd" ADD CONSTRAINT "herd_operation_id_ranch_id_fkey" FOREIGN KEY ("operation_id", "ranch_id") REFERENCES "ranch"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "herd" ADD CONSTRAINT "herd_operation_id_place_id_fkey" FOREIGN KEY ("operation_id", "place_id") REFERENCES "place"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "head_change" ADD CONSTRAINT "head_change_operation_id_herd_id_fkey" FOREIGN KEY ("operation_id", "herd_id") REFERENCES "herd"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "head_change" ADD CONSTRAINT "head_change_operation_id_other_herd_id_fkey" FOREIGN KEY ("operation_id", "other_herd_id") REFERENCES "herd"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "head_change" ADD CONSTRAINT "head_change_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "head_change" ADD CONSTRAINT "head_change_operation_id_reverses_id_fkey" FOREIGN KEY ("operation_id", "reverses_id") REFERENCES "head_change"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "hay_lot" ADD CONSTRAINT "hay_lot_operation_id_ranch_id_fkey" FOREIGN KEY ("operation_id", "ranch_id") REFERENCES "ranch"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "hay_lot" ADD CONSTRAINT "hay_lot_operation_id_place_id_fkey" FOREIGN KEY ("operation_id", "place_id") REFERENCES "place"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "hay_purchase" ADD CONSTRAINT "hay_purchase_operation_id_hay_lot_id_fkey" FOREIGN KEY ("operation_id", "hay_lot_id") REFERENCES "hay_lot"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "hay_purchase" ADD CONSTRAINT "hay_purchase_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "hay_purchase_price" ADD CONSTRAINT "hay_purchase_price_operation_id_hay_purchase_id_fkey" FOREIGN KEY ("operation_id", "hay_purchase_id") REFERENCES "hay_purchase"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "stock_movement" ADD CONSTRAINT "stock_movement_operation_id_hay_lot_id_fkey" FOREIGN KEY ("operation_id", "hay_lot_id") REFERENCES "hay_lot"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "stock_movement" ADD CONSTRAINT "stock_movement_operation_id_ranch_id_fkey" FOREIGN KEY ("operation_id", "ranch_id") REFERENCES "ranch"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "stock_movement" ADD CONSTRAINT "stock_movement_operation_id_place_id_fkey" FOREIGN KEY ("operation_id", "place_id") REFERENCES "place"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "stock_movement" ADD CONSTRAINT "stock_movement_operation_id_herd_id_fkey" FOREIGN KEY ("operation_id", "herd_id") REFERENCES "herd"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "stock_movement" ADD CONSTRAINT "stock_movement_operation_id_reverses_id_fkey" FOREIGN KEY ("operation_id", "reverses_id") REFERENCES "stock_movement"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "stock_movement" ADD CONSTRAINT "stock_movement_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "stock_cost" ADD CONSTRAINT "stock_cost_operation_id_hay_lot_id_fkey" FOREIGN KEY ("operation_id", "hay_lot_id") REFERENCES "hay_lot"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "stock_cost" ADD CONSTRAINT "stock_cost_operation_id_stock_movement_id_fkey" FOREIGN KEY ("operation_id", "stock_movement_id") REFERENCES "stock_movement"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "stock_cost" ADD CONSTRAINT "stock_cost_operation_id_reverses_id_fkey" FOREIGN KEY ("operation_id", "reverses_id") REFERENCES "stock_cost"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "stock_cost" ADD CONSTRAINT "stock_cost_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "lab_test" ADD CONSTRAINT "lab_test_operation_id_hay_lot_id_fkey" FOREIGN KEY ("operation_id", "hay_lot_id") REFERENCES "hay_lot"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "lab_test" ADD CONSTRAINT "lab_test_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "feeding" ADD CONSTRAINT "feeding_operation_id_herd_id_fkey" FOREIGN KEY ("operation_id", "herd_id") REFERENCES "herd"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "feeding" ADD CONSTRAINT "feeding_operation_id_ranch_id_fkey" FOREIGN KEY ("operation_id", "ranch_id") REFERENCES "ranch"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "feeding" ADD CONSTRAINT "feeding_operation_id_place_id_fkey" FOREIGN KEY ("operation_id", "place_id") REFERENCES "place"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "feeding" ADD CONSTRAINT "feeding_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "feeding_layer" ADD CONSTRAINT "feeding_layer_operation_id_feeding_id_fkey" FOREIGN KEY ("operation_id", "feeding_id") REFERENCES "feeding"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "feeding_layer" ADD CONSTRAINT "feeding_layer_operation_id_hay_lot_id_fkey" FOREIGN KEY ("operation_id", "hay_lot_id") REFERENCES "hay_lot"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "weigh_in" ADD CONSTRAINT "weigh_in_operation_id_herd_id_fkey" FOREIGN KEY ("operation_id", "herd_id") REFERENCES "herd"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "weigh_in" ADD CONSTRAINT "weigh_in_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "animal_weight" ADD CONSTRAINT "animal_weight_operation_id_weigh_in_id_fkey" FOREIGN KEY ("operation_id", "weigh_in_id") REFERENCES "weigh_in"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "yardage_rate" ADD CONSTRAINT "yardage_rate_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "yardage_rate" ADD CONSTRAINT "yardage_rate_operation_id_herd_id_fkey" FOREIGN KEY ("operation_id", "herd_id") REFERENCES "herd"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "yardage_rate" ADD CONSTRAINT "yardage_rate_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "reversal" ADD CONSTRAINT "reversal_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "reversal" ADD CONSTRAINT "reversal_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
