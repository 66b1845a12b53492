-- A proposal shows to an address that is proven, or with the code that its consultant hands over.
ALTER TABLE "engagement_proposal" ADD COLUMN "code_hash" TEXT;
