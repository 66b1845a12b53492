-- Links that show that mail reaches a person, and the mail that is to be sent.
CREATE TABLE "email_link" (
    "id" UUID NOT NULL,
    "person_id" UUID NOT NULL,
    "email" TEXT NOT NULL,
    "token_hash" TEXT NOT NULL,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT now(),
    "expires_at" TIMESTAMPTZ(6) NOT NULL,
    "used_at" TIMESTAMPTZ(6),

    CONSTRAINT "email_link_pkey" PRIMARY KEY ("id")
);
CREATE UNIQUE INDEX "email_link_token_hash_key" ON "email_link"("token_hash");
CREATE INDEX "email_link_person_id_idx" ON "email_link"("person_id");
ALTER TABLE "email_link" ADD CONSTRAINT "email_link_person_id_fkey" FOREIGN KEY ("person_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

CREATE TABLE "mail_outbox" (
    "id" UUID NOT NULL,
    "person_id" UUID NOT NULL,
    "link_id" UUID,
    "to_address" TEXT NOT NULL,
    "sealed" TEXT,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT now(),
    "next_try_at" TIMESTAMPTZ(6) NOT NULL,
    "give_up_at" TIMESTAMPTZ(6) NOT NULL,
    "attempts" INTEGER NOT NULL DEFAULT 0,
    "last_problem" TEXT,
    "sent_at" TIMESTAMPTZ(6),
    "given_up_at" TIMESTAMPTZ(6),

    CONSTRAINT "mail_outbox_pkey" PRIMARY KEY ("id"),
    -- Once it was sent or given up, nothing of what it said is left.
    CONSTRAINT "mail_outbox_sealed_while_waiting" CHECK (("sealed" IS NULL) = ("sent_at" IS NOT NULL OR "given_up_at" IS NOT NULL))
);
CREATE INDEX "mail_outbox_next_try_at_idx" ON "mail_outbox"("next_try_at");
CREATE INDEX "mail_outbox_to_address_sent_at_idx" ON "mail_outbox"("to_address", "sent_at");
CREATE INDEX "mail_outbox_person_id_idx" ON "mail_outbox"("person_id");
ALTER TABLE "mail_outbox" ADD CONSTRAINT "mail_outbox_person_id_fkey" FOREIGN KEY ("person_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "mail_outbox" ADD CONSTRAINT "mail_outbox_link_id_fkey" FOREIGN KEY ("link_id") REFERENCES "email_link"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
