-- How many requests somebody has sent within their window, as all servers together have told.
CREATE TABLE "request_count" (
    "subject_hash" TEXT NOT NULL,
    "ends_at" TIMESTAMPTZ(6) NOT NULL,
    "requests" INTEGER NOT NULL,

    CONSTRAINT "request_count_pkey" PRIMARY KEY ("subject_hash"),
    CONSTRAINT "request_count_requests" CHECK ("requests" > 0)
);

CREATE INDEX "request_count_ends_at_idx" ON "request_count"("ends_at");
