-- What stands on a scale ticket as its number. Not unique: a number may be typed twice, and is asked about.
ALTER TABLE "hay_purchase" ADD COLUMN "ticket_number" TEXT;
ALTER TABLE "hay_sale" ADD COLUMN "ticket_number" TEXT;
