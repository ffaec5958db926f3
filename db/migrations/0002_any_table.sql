CREATE TABLE `api_answers` (
	`api_key` integer NOT NULL,
	`idempotency_key` text NOT NULL,
	`request_hash` text NOT NULL,
	`status` integer NOT NULL,
	`body` text NOT NULL,
	`answered_at` integer NOT NULL,
	PRIMARY KEY(`api_key`, `idempotency_key`),
	FOREIGN KEY (`api_key`) REFERENCES `api_keys`(`key`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `api_keys` (
	`key` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`name` text NOT NULL,
	`secret_hash` text NOT NULL,
	`scope` text NOT NULL,
	`scope_id` text NOT NULL,
	`created_at` integer NOT NULL,
	`last_used_at` integer,
	`revoked_at` integer
);
--> statement-breakpoint
CREATE UNIQUE INDEX `api_keys_secret_hash_unique` ON `api_keys` (`secret_hash`);--> statement-breakpoint
CREATE TABLE `mapping_versions` (
	`key` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`mapping_key` integer NOT NULL,
	`version` integer NOT NULL,
	`saved_at` integer NOT NULL,
	`made_for` text NOT NULL,
	`document` text NOT NULL,
	FOREIGN KEY (`mapping_key`) REFERENCES `mappings`(`key`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `mapping_versions_by_number` ON `mapping_versions` (`mapping_key`,`version`);--> statement-breakpoint
CREATE TABLE `mappings` (
	`key` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`name` text NOT NULL,
	`created_at` integer NOT NULL,
	`retired_at` integer
);
--> statement-breakpoint
CREATE UNIQUE INDEX `mappings_name_unique` ON `mappings` (`name`);--> statement-breakpoint
CREATE TABLE `unmapped_words` (
	`file_key` integer NOT NULL,
	`column` text NOT NULL,
	`word` text NOT NULL,
	`count` integer NOT NULL,
	PRIMARY KEY(`file_key`, `column`, `word`),
	FOREIGN KEY (`file_key`) REFERENCES `import_files`(`key`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
ALTER TABLE `import_files` ADD `format` text;--> statement-breakpoint
ALTER TABLE `import_files` ADD `mapping` text;--> statement-breakpoint
ALTER TABLE `import_files` ADD `mapping_version_key` integer REFERENCES mapping_versions(key);--> statement-breakpoint
ALTER TABLE `import_files` ADD `left_out` integer DEFAULT 0 NOT NULL;--> statement-breakpoint
ALTER TABLE `import_rejects` ADD `left_out` integer DEFAULT false NOT NULL;