-- What happened to a person's account, for that person to read.
CREATE TABLE "account_event" (
    "person_id" UUID NOT NULL,
    "sequence" BIGSERIAL NOT NULL,
    "happened_at" TIMESTAMPTZ(6) NOT NULL DEFAULT now(),
    "kind" TEXT NOT NULL,
    "address" TEXT,
    "subject_id" UUID,
    "attempts" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "account_event_pkey" PRIMARY KEY ("person_id","sequence")
);
ALTER TABLE "account_event" ADD CONSTRAINT "account_event_person_id_fkey" FOREIGN KEY ("person_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
