CREATE TABLE `analysis_runs` (
	`id` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`as_of` integer NOT NULL,
	`horizon_days` integer NOT NULL,
	`settings_version` integer NOT NULL,
	`data_version` integer NOT NULL,
	`format_version` integer NOT NULL,
	`created_at` integer NOT NULL,
	`fleet` text NOT NULL
);
--> statement-breakpoint
CREATE TABLE `counters` (
	`name` text PRIMARY KEY NOT NULL,
	`value` integer NOT NULL
);
--> statement-breakpoint
CREATE TABLE `detectors` (
	`key` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`detector_id` text NOT NULL,
	`site_key` integer NOT NULL,
	`label` text NOT NULL,
	`form` text NOT NULL,
	`path_length_m` real NOT NULL,
	`height_m` real NOT NULL,
	`bearing_deg` real NOT NULL,
	`installed_on` text NOT NULL,
	`alarm_threshold_pct` real NOT NULL,
	`access` text NOT NULL,
	`zone` text,
	`environment` text,
	`last_service_on` text,
	FOREIGN KEY (`site_key`) REFERENCES `sites`(`key`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `detectors_detector_id_unique` ON `detectors` (`detector_id`);--> statement-breakpoint
CREATE INDEX `detectors_by_site` ON `detectors` (`site_key`);--> statement-breakpoint
CREATE TABLE `events` (
	`key` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`detector_key` integer NOT NULL,
	`began_at` integer NOT NULL,
	`ended_at` integer,
	`condition` text NOT NULL,
	`cause` text,
	`verdict` text,
	FOREIGN KEY (`detector_key`) REFERENCES `detectors`(`key`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `events_natural_key` ON `events` (`detector_key`,`began_at`,`condition`);--> statement-breakpoint
CREATE TABLE `import_conflicts` (
	`key` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`file_key` integer NOT NULL,
	`line` integer NOT NULL,
	`replaced` integer NOT NULL,
	`identity` text NOT NULL,
	`stored` text NOT NULL,
	`sent` text NOT NULL,
	FOREIGN KEY (`file_key`) REFERENCES `import_files`(`key`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `import_conflicts_by_file` ON `import_conflicts` (`file_key`,`line`);--> statement-breakpoint
CREATE TABLE `import_files` (
	`key` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`import_id` integer NOT NULL,
	`position` integer NOT NULL,
	`name` text NOT NULL,
	`kind` text,
	`fold` text NOT NULL,
	`header` text NOT NULL,
	`note` text,
	`rows` integer DEFAULT 0 NOT NULL,
	`accepted` integer DEFAULT 0 NOT NULL,
	`replaced` integer DEFAULT 0 NOT NULL,
	`duplicates` integer DEFAULT 0 NOT NULL,
	`conflicts` integer DEFAULT 0 NOT NULL,
	`refused` integer DEFAULT 0 NOT NULL,
	`waiting` integer DEFAULT 0 NOT NULL,
	FOREIGN KEY (`import_id`) REFERENCES `imports`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `import_files_by_import` ON `import_files` (`import_id`);--> statement-breakpoint
CREATE TABLE `import_rejects` (
	`key` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`file_key` integer NOT NULL,
	`line` integer,
	`column` text,
	`value` text,
	`reason` text NOT NULL,
	`cells` text NOT NULL,
	FOREIGN KEY (`file_key`) REFERENCES `import_files`(`key`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `import_rejects_by_file` ON `import_rejects` (`file_key`,`line`);--> statement-breakpoint
CREATE TABLE `imports` (
	`id` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`imported_at` integer NOT NULL,
	`replaces` integer NOT NULL,
	`taken_back_at` integer
);
--> statement-breakpoint
CREATE TABLE `reading_chunks` (
	`detector_key` integer NOT NULL,
	`quarter` integer NOT NULL,
	`count` integer NOT NULL,
	`first_at` integer NOT NULL,
	`last_at` integer NOT NULL,
	`min_signal_pct` real NOT NULL,
	`max_signal_pct` real NOT NULL,
	`checksum` integer NOT NULL,
	`bytes` blob NOT NULL,
	PRIMARY KEY(`detector_key`, `quarter`),
	FOREIGN KEY (`detector_key`) REFERENCES `detectors`(`key`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `reading_claims` (
	`detector_key` integer NOT NULL,
	`quarter` integer NOT NULL,
	`import_id` integer NOT NULL,
	`agreed` blob NOT NULL,
	`contested` blob,
	PRIMARY KEY(`detector_key`, `quarter`, `import_id`),
	FOREIGN KEY (`detector_key`) REFERENCES `detectors`(`key`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`import_id`) REFERENCES `imports`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `reading_days` (
	`detector_key` integer PRIMARY KEY NOT NULL,
	`latest_at` integer NOT NULL,
	`latest_signal_pct` real NOT NULL,
	`latest_compensation_pct` real,
	`latest_temperature_c` real,
	`checksum` integer NOT NULL,
	`bytes` blob NOT NULL,
	FOREIGN KEY (`detector_key`) REFERENCES `detectors`(`key`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `row_claims` (
	`key` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`import_id` integer NOT NULL,
	`kind` text NOT NULL,
	`row_key` integer NOT NULL,
	`row` text NOT NULL,
	FOREIGN KEY (`import_id`) REFERENCES `imports`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `row_claims_by_row` ON `row_claims` (`kind`,`row_key`,`import_id`);--> statement-breakpoint
CREATE INDEX `row_claims_by_import` ON `row_claims` (`import_id`);--> statement-breakpoint
CREATE TABLE `run_detectors` (
	`run_id` integer NOT NULL,
	`detector_key` integer NOT NULL,
	`rank` integer NOT NULL,
	`net_benefit` real NOT NULL,
	`expected_cost` real NOT NULL,
	`faults_12m` integer NOT NULL,
	`alarms_12m` integer NOT NULL,
	`latest_signal_pct` real,
	`test_overdue_days` integer,
	`finding_kinds` text NOT NULL,
	`payload` text NOT NULL,
	PRIMARY KEY(`run_id`, `detector_key`),
	FOREIGN KEY (`run_id`) REFERENCES `analysis_runs`(`id`) ON UPDATE no action ON DELETE cascade,
	FOREIGN KEY (`detector_key`) REFERENCES `detectors`(`key`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE INDEX `run_detectors_by_rank` ON `run_detectors` (`run_id`,`rank`);--> statement-breakpoint
CREATE INDEX `run_detectors_by_net_benefit` ON `run_detectors` (`run_id`,`net_benefit`);--> statement-breakpoint
CREATE INDEX `run_detectors_by_expected_cost` ON `run_detectors` (`run_id`,`expected_cost`);--> statement-breakpoint
CREATE INDEX `run_detectors_by_faults` ON `run_detectors` (`run_id`,`faults_12m`);--> statement-breakpoint
CREATE INDEX `run_detectors_by_detector` ON `run_detectors` (`detector_key`);--> statement-breakpoint
CREATE TABLE `run_sites` (
	`run_id` integer NOT NULL,
	`site_key` integer NOT NULL,
	`expected_cost` real NOT NULL,
	`net_benefit` real NOT NULL,
	`faults_12m` integer NOT NULL,
	`false_alarms_12m` integer NOT NULL,
	`tests_overdue` integer NOT NULL,
	`payload` text NOT NULL,
	PRIMARY KEY(`run_id`, `site_key`),
	FOREIGN KEY (`run_id`) REFERENCES `analysis_runs`(`id`) ON UPDATE no action ON DELETE cascade,
	FOREIGN KEY (`site_key`) REFERENCES `sites`(`key`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE INDEX `run_sites_by_site` ON `run_sites` (`site_key`);--> statement-breakpoint
CREATE TABLE `settings` (
	`version` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`saved_at` integer NOT NULL,
	`values` text NOT NULL
);
--> statement-breakpoint
CREATE TABLE `sites` (
	`key` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`site_id` text NOT NULL,
	`name` text NOT NULL,
	`latitude` real NOT NULL,
	`longitude` real NOT NULL,
	`time_zone` text NOT NULL,
	`portfolio` text,
	`currency` text,
	`opens` text,
	`closes` text,
	`detectors_on_system` integer
);
--> statement-breakpoint
CREATE UNIQUE INDEX `sites_site_id_unique` ON `sites` (`site_id`);--> statement-breakpoint
CREATE TABLE `waiting_rows` (
	`key` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`file_key` integer NOT NULL,
	`waits_for` text NOT NULL,
	`waits_for_id` text NOT NULL,
	`count` integer NOT NULL,
	`first_line` integer NOT NULL,
	`rows` blob NOT NULL,
	FOREIGN KEY (`file_key`) REFERENCES `import_files`(`key`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `waiting_rows_by_id` ON `waiting_rows` (`waits_for`,`waits_for_id`);--> statement-breakpoint
CREATE INDEX `waiting_rows_by_file` ON `waiting_rows` (`file_key`);--> statement-breakpoint
CREATE TABLE `work` (
	`key` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`detector_key` integer NOT NULL,
	`done_at` integer NOT NULL,
	`task` text NOT NULL,
	`result` text,
	`signal_before_pct` real,
	`signal_after_pct` real,
	`duration_min` real,
	`reactive` integer,
	`told` text,
	`interim` text,
	`note` text,
	FOREIGN KEY (`detector_key`) REFERENCES `detectors`(`key`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `work_natural_key` ON `work` (`detector_key`,`done_at`,`task`);