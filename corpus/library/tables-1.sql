CREATE TABLE "contents" (
    "Sha256" TEXT NOT NULL CONSTRAINT "PK_contents" PRIMARY KEY,
    "Bytes" INTEGER NOT NULL,
    "Doomed" INTEGER NOT NULL
);


CREATE TABLE "schema" (
    "Id" INTEGER NOT NULL CONSTRAINT "PK_schema" PRIMARY KEY,
    "Version" INTEGER NOT NULL
);


CREATE TABLE "trials" (
    "Id" TEXT NOT NULL CONSTRAINT "PK_trials" PRIMARY KEY,
    "Title" TEXT NOT NULL,
    "Created" TEXT NOT NULL,
    "Changed" TEXT NOT NULL,
    "Head" INTEGER NOT NULL,
    "Latest" INTEGER NOT NULL,
    "Devices" INTEGER NOT NULL,
    "Takes" INTEGER NOT NULL,
    "Recordings" INTEGER NOT NULL,
    "Removed" TEXT NULL
);


CREATE TABLE "files" (
    "TrialId" TEXT NOT NULL,
    "Name" TEXT NOT NULL,
    "Sha256" TEXT NOT NULL,
    CONSTRAINT "PK_files" PRIMARY KEY ("TrialId", "Name"),
    CONSTRAINT "FK_files_contents_Sha256" FOREIGN KEY ("Sha256") REFERENCES "contents" ("Sha256") ON DELETE RESTRICT,
    CONSTRAINT "FK_files_trials_TrialId" FOREIGN KEY ("TrialId") REFERENCES "trials" ("Id") ON DELETE CASCADE
);


CREATE TABLE "revisions" (
    "TrialId" TEXT NOT NULL,
    "Number" INTEGER NOT NULL,
    "Parent" INTEGER NULL,
    "Next" INTEGER NULL,
    "Author" TEXT NOT NULL,
    "Summary" TEXT NOT NULL,
    "At" TEXT NOT NULL,
    "Text" BLOB NOT NULL,
    CONSTRAINT "PK_revisions" PRIMARY KEY ("TrialId", "Number"),
    CONSTRAINT "FK_revisions_trials_TrialId" FOREIGN KEY ("TrialId") REFERENCES "trials" ("Id") ON DELETE CASCADE
);


CREATE TABLE "uploads" (
    "Id" TEXT NOT NULL CONSTRAINT "PK_uploads" PRIMARY KEY,
    "TrialId" TEXT NOT NULL,
    "Name" TEXT NOT NULL,
    "Author" TEXT NOT NULL,
    "Length" INTEGER NOT NULL,
    "Offset" INTEGER NOT NULL,
    "Begun" TEXT NOT NULL,
    "Sha256" TEXT NULL,
    "File" TEXT NULL,
    "Recording" TEXT NULL,
    "Finished" INTEGER NOT NULL,
    CONSTRAINT "FK_uploads_trials_TrialId" FOREIGN KEY ("TrialId") REFERENCES "trials" ("Id") ON DELETE CASCADE
);


CREATE INDEX "IX_files_Sha256" ON "files" ("Sha256");


CREATE INDEX "IX_uploads_TrialId" ON "uploads" ("TrialId");
