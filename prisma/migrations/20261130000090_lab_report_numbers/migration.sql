-- The number by which a laboratory tells samples apart: two tests of one number are one test entered twice.
ALTER TABLE "lab_test" ADD COLUMN "report_number" TEXT;
