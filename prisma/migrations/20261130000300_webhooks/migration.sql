-- Webhooks: addresses outside that are told of what happens in an operation, what they are to be told, and each attempt.
CREATE TABLE "webhook" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "label" TEXT NOT NULL,
    "url" TEXT NOT NULL,
    "kinds" TEXT[],
    "low_hay_days" INTEGER NOT NULL,
    "state" TEXT NOT NULL,
    "ended_because" TEXT,
    "answered_by" UUID NOT NULL,
    "secret" TEXT,
    "secret_made_at" TIMESTAMPTZ(6) NOT NULL,
    "old_secret" TEXT,
    "old_secret_until" TIMESTAMPTZ(6),
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "turn_until" TIMESTAMPTZ(6),
    "rest_until" TIMESTAMPTZ(6),
    "failures_in_row" INTEGER NOT NULL DEFAULT 0,
    "failing_since" TIMESTAMPTZ(6),
    "last_delivered_at" TIMESTAMPTZ(6),
    "low_hay_since" TIMESTAMPTZ(6),
    "hay_judged_on" DATE,

    CONSTRAINT "webhook_pkey" PRIMARY KEY ("operation_id", "id"),
    -- Secrets are sealed under a key that is not in the database, and gone once it has ended.
    CONSTRAINT "webhook_secrets_sealed" CHECK ("secret" LIKE 'sealed1.%' AND "old_secret" LIKE 'sealed1.%'),
    CONSTRAINT "webhook_ended" CHECK (("state" = 'ended') = ("ended_because" IS NOT NULL) AND ("state" = 'ended') = ("secret" IS NULL)),
    CONSTRAINT "webhook_old_secret" CHECK (("old_secret" IS NULL) = ("old_secret_until" IS NULL))
);
ALTER TABLE "webhook" ADD CONSTRAINT "webhook_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "webhook" ADD CONSTRAINT "webhook_answered_by_fkey" FOREIGN KEY ("answered_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

CREATE TABLE "webhook_delivery" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "webhook_id" UUID NOT NULL,
    "message" UUID NOT NULL,
    "kind" TEXT NOT NULL,
    "happened_at" TIMESTAMPTZ(6) NOT NULL,
    "about" JSONB NOT NULL,
    "state" TEXT NOT NULL,
    "created_at" TIMESTAMPTZ(6) NOT NULL,
    "next_try_at" TIMESTAMPTZ(6),
    "tries" INTEGER NOT NULL DEFAULT 0,
    "attempts" INTEGER NOT NULL DEFAULT 0,
    "trying_since" TIMESTAMPTZ(6),
    "last_status" INTEGER,
    "last_problem" TEXT,
    "ended_at" TIMESTAMPTZ(6),

    CONSTRAINT "webhook_delivery_pkey" PRIMARY KEY ("operation_id", "id"),
    CONSTRAINT "webhook_delivery_waits" CHECK (("state" = 'waiting') = ("next_try_at" IS NOT NULL) AND ("state" = 'waiting') = ("ended_at" IS NULL))
);
CREATE INDEX "webhook_delivery_operation_id_webhook_id_created_at_id_idx" ON "webhook_delivery"("operation_id", "webhook_id", "created_at", "id");
CREATE INDEX "webhook_delivery_operation_id_webhook_id_next_try_at_idx" ON "webhook_delivery"("operation_id", "webhook_id", "next_try_at");
CREATE INDEX "webhook_delivery_operation_id_message_idx" ON "webhook_delivery"("operation_id", "message");
ALTER TABLE "webhook_delivery" ADD CONSTRAINT "webhook_delivery_operation_id_webhook_id_fkey" FOREIGN KEY ("operation_id", "webhook_id") REFERENCES "webhook"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

CREATE TABLE "webhook_attempt" (
    "operation_id" UUID NOT NULL,
    "webhook_delivery_id" UUID NOT NULL,
    "number" INTEGER NOT NULL,
    "began_at" TIMESTAMPTZ(6) NOT NULL,
    "took_ms" INTEGER,
    "status" INTEGER,
    "problem" TEXT,
    "answer" TEXT,

    CONSTRAINT "webhook_attempt_pkey" PRIMARY KEY ("operation_id", "webhook_delivery_id", "number")
);
ALTER TABLE "webhook_attempt" ADD CONSTRAINT "webhook_attempt_operation_id_webhook_delivery_id_fkey" FOREIGN KEY ("operation_id", "webhook_delivery_id") REFERENCES "webhook_delivery"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
