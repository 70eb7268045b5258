DROP TABLE print_job_subjects;
DROP TABLE print_documents;
DROP TABLE print_jobs;
DROP TABLE printer_papers;
DROP TABLE printers;
