// The bench file: boards, jobs, marks, rules, settings. One SQLite file, the only room that speaks SQL.
// Every change is one committed transaction before it is answered; a power cut after that loses nothing.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/board.hpp"
#include "netdb/model/diagnostics.hpp"
#include "netdb/model/job.hpp"
#include "netdb/model/name_alias.hpp"
#include "netdb/model/photo.hpp"
#include "netdb/model/reading.hpp"
#include "netdb/model/result.hpp"
#include "netdb/model/signal.hpp"

namespace landfall::store {

struct SourceFile {
  std::string name;  // without folders
  std::string format, version;
  std::string hash;  // content_hash of its bytes
  std::vector<Diagnostic> diagnostics;
  std::string part = {};  // of a list: the part whose pins it names; empty where that is not known
};

struct KeptDisagreement {
  std::string kind, what, says, net;
};

struct BoardInfo {
  std::int64_t id = 0;
  std::string name;
  std::int64_t parts = 0, pins = 0, nets = 0;
  std::int64_t jobs = 0;
  std::vector<std::string> formats;
  std::string imported;  // UTC
};

// What goes with a board when it is kept.
struct Origin {
  std::vector<SourceFile> sources;
  std::vector<KeptDisagreement> disagreements;
  std::string now;  // UTC, ISO 8601
  // Told now and then how many rows are written, of about how many; false stops, and nothing is kept.
  std::function<bool(std::size_t rows, std::size_t of)> on_rows = {};
};

// One site of one gesture. No kind: the mark is taken off. No note: the note stays as it is.
struct MarkChange {
  std::string part, ball;
  std::optional<MarkKind> kind;
  std::optional<std::string> note;
};

// What the verdict said of a repair before it was known what came of it.
struct Said {
  std::int64_t job = 0;
  double chance = 0, low = 0, high = 0;  // 0 to 1
  double margin = 0;                     // money
  std::string at;                        // UTC
  // The margin of a repair that works, and of one that fails; nothing in files from before version 7.
  std::optional<double> if_works = {}, if_fails = {};
};

// A donor board.
struct Shelved {
  std::int64_t job = 0;
  std::string note, at;
  std::vector<std::string> taken;  // references of parts that were taken off it
};

// The newest gesture that touched a site; a greater number is newer.
struct SiteGesture {
  std::string part, ball;
  std::int64_t gesture = 0;
};

// What a site's mark has been, on this bench and others: a number a state, the last its present one. The same
// state has the same number on every bench.
struct SitePast {
  std::string part, ball;
  std::vector<std::int64_t> states;
};

struct WithdrawnFact {
  Fact fact;
  std::string at;  // UTC, when it was taken back
};

// 128 bits of FNV-1a as 32 hex digits. Not for secrets: it tells whether the same file comes again.
std::string content_hash(std::string_view bytes);

class Snapshot;

class Bench {
 public:
  // Opens or creates it, with the folders that lead to it. kBench in one sentence, and the file byte for byte
  // as it was, for a file that is no bench file, is another program's database, is from a newer version, is
  // or is damaged. A bench file that may not be written is opened to read only.
  static Result<Bench> open(const std::filesystem::path& file);
  Bench(Bench&&) noexcept;
  Bench& operator=(Bench&&) noexcept;
  Bench(const Bench&) = delete;
  Bench& operator=(const Bench&) = delete;
  ~Bench();

  // It may not be written: every change answers kBench and says so.
  [[nodiscard]] bool read_only() const;

  // While it lives all answers of this bench are of one instant, whatever other programs keep meanwhile. No
  // change may be made through this bench in that time. Each question is of one instant by itself.
  class [[nodiscard]] Reading {
   public:
    explicit Reading(std::unique_ptr<Snapshot> snapshot);
    Reading(Reading&&) noexcept;
    Reading& operator=(Reading&&) noexcept;
    Reading(const Reading&) = delete;
    Reading& operator=(const Reading&) = delete;
    ~Reading();

   private:
    std::unique_ptr<Snapshot> snapshot_;
  };
  Reading reading();

  // A row that says what cannot be (a damaged file) is kBench, named by table and row, in every answer.
  Result<std::vector<BoardInfo>> boards();
  // kNotFound when there is no such board.
  Result<BoardInfo> board_info(std::int64_t id);
  // Boards whose names begin so, capitals of ASCII or not, by name; with that whole name the first. O(log
  // boards).
  Result<std::vector<BoardInfo>> boards_called(std::string_view beginning);
  Result<Board> board(std::int64_t id);
  // The board without its copper: layers, nets, parts and pins, and one land without a place for each part
  // with pins that has lands. Enough for what goes by names, and much less to read. kNotFound as above.
  Result<Board> board_words(std::int64_t id);
  Result<std::vector<SourceFile>> sources(std::int64_t board);
  Result<std::vector<KeptDisagreement>> disagreements(std::int64_t board);
  // The board that came from just this file, if there is one.
  Result<std::optional<std::int64_t>> board_of_content(const std::string& hash);
  // All or nothing. kUsage when the name is taken or empty; kInput for a board that refers to what it has
  // not.
  Result<std::int64_t> keep_board(const std::string& name, const Board& board, const Origin& origin);
  // A revised design: its jobs and rules stay, marks go by part and ball.
  Status replace_board(std::int64_t id, const Board& board, const Origin& origin);
  // kChoice, naming the jobs, when it has some and they are not to go with it.
  Status remove_board(std::int64_t id, bool with_jobs);

  Result<std::vector<NameRule>> rules(std::int64_t board);
  Result<std::int64_t> add_rule(std::int64_t board, const NameRule& rule);
  // kNotFound when the board has no such rule.
  Status remove_rule(std::int64_t board, std::int64_t rule);

  // What was accepted of names, in the order in which it was.
  Result<std::vector<NameAlias>> aliases(std::int64_t board);
  // All of them or none; one that is there already is left as it is. Answers how many were new.
  Result<std::size_t> add_aliases(std::int64_t board, const std::vector<NameAlias>& aliases);
  // kNotFound, and none removed, when the board has not all of them.
  Status remove_aliases(std::int64_t board, const std::vector<std::int64_t>& aliases);

  Result<std::vector<Job>> jobs();
  Result<std::vector<Job>> jobs_of_board(std::int64_t board);
  // Jobs whose titles begin so, capitals of ASCII or not.
  Result<std::vector<Job>> jobs_titled(std::string_view beginning);
  Result<Job> job(std::int64_t id);
  Result<std::int64_t> new_job(const Job& job, const std::string& now);
  Status set_closed(std::int64_t job, bool closed, const std::string& now);
  Status set_safety(std::int64_t job, SafetyAnswer answer, const std::string& now);

  // One gesture: on disk before this returns, and one undo. What changes nothing is dropped; a gesture of
  // nothing keeps nothing. Of a site that is named twice the last word holds. `words` says it for undo:
  // "U1.Y3 torn".
  Status record(std::int64_t job, const std::string& words, const std::vector<MarkChange>& changes,
                const std::string& now);
  // The words of what was taken back or done again; nothing when there is none. History is never deleted.
  Result<std::optional<std::string>> undo(std::int64_t job, const std::string& now);
  Result<std::optional<std::string>> redo(std::int64_t job, const std::string& now);

  // A fact of a job; on disk before this returns. kNotFound when there is no such job.
  Result<std::int64_t> add_fact(std::int64_t job, const Fact& fact, const std::string& now);
  // The same in the place of `outdone`, which are taken back with it: all or nothing. kNotFound as well when
  // one of them does not stand.
  Result<std::int64_t> replace_facts(std::int64_t job, const std::vector<std::int64_t>& outdone,
                                     const Fact& fact, const std::string& now);
  // Takes one back; it stays in the file with the time. kNotFound when no such fact of the job stands.
  Status withdraw_fact(std::int64_t job, std::int64_t fact, const std::string& now);

  // Those that were taken back, so that another bench's copy does not bring them back.
  Result<std::vector<WithdrawnFact>> withdrawn_facts(std::int64_t job);

  // What came of a piece of work. All are kept: of one site, place and kind the last one holds.
  Result<std::int64_t> add_outcome(const Outcome& outcome);
  Result<std::vector<Outcome>> outcomes(std::int64_t job);
  Result<std::vector<Outcome>> all_outcomes();

  // The numbers of a plan that were given out. One that is taken stays as it was.
  Status keep_numbers(std::int64_t job, const std::vector<KeptNumber>& numbers);
  Result<std::vector<KeptNumber>> kept_numbers(std::int64_t job);
  // By site that a gesture ever touched, taken back ones included.
  Result<std::vector<SiteGesture>> last_gestures(std::int64_t job);

  // By site that was ever marked here, or on a bench whose work was taken in.
  Result<std::vector<SitePast>> site_pasts(std::int64_t job);
  // These sites are as another bench has them: its states are theirs, and its present one is theirs too.
  // Marks stay as they are. kNotFound without the job.
  Status agree_on(std::int64_t job, const std::vector<SitePast>& theirs, const std::string& now);
  // These sites stay as they are here, knowing what another bench has: its states are older than the present
  // one, which gets a new number. kNotFound without the job.
  Status stand_by(std::int64_t job, const std::vector<SitePast>& theirs, const std::string& now);

  // Answers of the intake, by topic; one that is empty takes the answer back. kNotFound without the job.
  Status set_intake(std::int64_t job, const std::vector<IntakeAnswer>& answers, const std::string& now);
  Result<std::vector<IntakeAnswer>> intake(std::int64_t job);
  // Those that were taken back too, as empty ones. For a merge.
  Result<std::vector<IntakeAnswer>> intake_with_taken_back(std::int64_t job);
  // Another bench's answers in the place of this one's, with their times and turns. kNotFound without the
  // job.
  Status take_intake(std::int64_t job, const std::vector<IntakeAnswer>& theirs, const std::string& now);

  // All of them or none. A later reading of the same net, point, mode and stage stands in the earlier's
  // place, which stays in the file.
  Status add_readings(std::int64_t job, const std::vector<MeterReading>& readings, const std::string& now);
  // Takes one back. kNotFound when no such reading of the job stands.
  Status withdraw_reading(std::int64_t job, std::int64_t reading, const std::string& now);
  // Those that stand, oldest first.
  Result<std::vector<MeterReading>> readings(std::int64_t job);
  // Those that were taken back, or that a later one stands for.
  Result<std::vector<MeterReading>> withdrawn_readings(std::int64_t job);
  // Those of other jobs on this board whose boards are known good.
  Result<std::vector<MeterReading>> good_readings(std::int64_t board, std::int64_t but_not_job);
  Status set_known_good(std::int64_t job, bool good, const std::string& now);
  Result<bool> known_good(std::int64_t job);

  // What the verdict said, kept once a job: the first stands.
  Status keep_said(const Said& said);
  Result<std::vector<Said>> said();

  // Onto the shelf, or its note anew; off it; a part taken. kNotFound for a job that is not there.
  Status shelve(std::int64_t job, const std::string& note, const std::string& now);
  Status unshelve(std::int64_t job);
  Status take_from_shelf(std::int64_t job, const std::string& part, const std::string& now);
  Status put_back_on_shelf(std::int64_t job, const std::string& part, const std::string& now);
  Result<std::vector<Shelved>> shelf();

  // Keeps a photo; `bytes` are what photo::clean_picture made of a file. Answers its number: of number, hash,
  // at and job nothing need be said. A picture that the job has keeps its number, note and matches; one that
  // was rubbed out comes back under its number.
  Result<std::int64_t> add_photo(std::int64_t job, const Photo& photo, std::string_view bytes,
                                 const std::string& now);
  // Those that were not rubbed out, by number, without their bytes.
  Result<std::vector<Photo>> photos(std::int64_t job);
  // kNotFound when the job has no such photo, as in the three below.
  Result<Photo> photo(std::int64_t job, std::int64_t number);
  Result<std::string> photo_bytes(std::int64_t job, std::int64_t number);
  // In the place of the matches that it had; none takes them away.
  Status match_photo(std::int64_t job, std::int64_t number, PhotoFit fit,
                     const std::vector<PhotoMatch>& matches, const std::string& now);
  // Its pixels are overwritten, and its number and hash stay: another bench's copy does not bring it back.
  Status rub_photo(std::int64_t job, std::int64_t number, const std::string& now);
  // Whether the job has, or had, a photo of these bytes; its number.
  Result<std::optional<std::int64_t>> photo_of_content(std::int64_t job, const std::string& hash);

  // The job with its board and all that belongs to it as a bench file of its own, which must not be there
  // yet; other boards and jobs are not in it, the shop's settings only if asked for. Whole or not at all.
  struct HandOver {
    bool settings = false;
    bool photos = true;
  };
  Status hand_over(std::int64_t job, const std::filesystem::path& file, HandOver what);

  // The shop's own figure, if it was changed.
  Result<std::optional<double>> setting(const std::string& name);
  Status set_setting(const std::string& name, std::optional<double> value);
  // All of them or none. No value: back to the default.
  Status set_settings(const std::vector<std::pair<std::string, std::optional<double>>>& settings);

  // Changes when another connection has committed.
  std::int64_t data_version();

 private:
  struct Inside;
  explicit Bench(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

}  // namespace landfall::store
