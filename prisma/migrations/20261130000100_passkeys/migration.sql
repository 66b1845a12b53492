-- Passkeys (WebAuthn), and the challenges that were answered.
CREATE TABLE "passkey" (
    "id" UUID NOT NULL,
    "person_id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "credential_id" TEXT NOT NULL,
    "public_key" TEXT NOT NULL,
    "counter" BIGINT NOT NULL DEFAULT 0,
    "transports" TEXT[],
    "backed_up" BOOLEAN NOT NULL DEFAULT false,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT now(),
    "last_used_at" TIMESTAMPTZ(6),
    "last_used_from" TEXT,
    "count_fell_at" TIMESTAMPTZ(6),
    "ended_at" TIMESTAMPTZ(6),
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "passkey_pkey" PRIMARY KEY ("id")
);
CREATE UNIQUE INDEX "passkey_credential_id_key" ON "passkey"("credential_id");
CREATE INDEX "passkey_person_id_idx" ON "passkey"("person_id");
ALTER TABLE "passkey" ADD CONSTRAINT "passkey_person_id_fkey" FOREIGN KEY ("person_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

CREATE TABLE "spent_challenge" (
    "challenge_hash" TEXT NOT NULL,
    "expires_at" TIMESTAMPTZ(6) NOT NULL,

    CONSTRAINT "spent_challenge_pkey" PRIMARY KEY ("challenge_hash")
);
CREATE INDEX "spent_challenge_expires_at_idx" ON "spent_challenge"("expires_at");
