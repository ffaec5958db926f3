CREATE TABLE `watched_files` (
	`path` text PRIMARY KEY NOT NULL,
	`bytes` integer NOT NULL,
	`changed_at` integer NOT NULL,
	`import_id` integer NOT NULL,
	FOREIGN KEY (`import_id`) REFERENCES `imports`(`id`) ON UPDATE no action ON DELETE no action
);
