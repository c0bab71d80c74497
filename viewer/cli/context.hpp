// What every command has at hand: options, output, errors.
#pragma once

#include <cstdio>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "netdb/store/bench.hpp"

namespace CLI {  // NOLINT(readability-identifier-naming): the library calls itself so
class App;
}

namespace landfall::cli {

using Json = nlohmann::ordered_json;

struct Context {
  std::filesystem::path bench_file;
  bool json = false;
  bool colour = false;  // a terminal, and NO_COLOR is not set
  int width = 80;       // of the terminal; without one as wide as needed
  int exit = 0;

  // Opens the bench file once; on an error says so and sets the exit code.
  store::Bench* bench();
  // One line to stderr, and the exit code of the error.
  void fail(const Error& error);
  void say(const std::string& line) const;
  void print(const Json& answer) const;
  [[nodiscard]] std::string bold(const std::string& text) const;
  [[nodiscard]] std::string paint(const std::string& text, int colour_code) const;

 private:
  std::unique_ptr<store::Bench> bench_;
};

// A table of columns that are as wide as their longest cell; the last one takes the rest of the line and is
// broken over several. Empty trailing columns are left out.
class Table {
 public:
  explicit Table(std::vector<std::string> head) : head_(std::move(head)) {}
  void row(std::vector<std::string> cells) { rows_.push_back(std::move(cells)); }
  void print(const Context& context) const;
  [[nodiscard]] bool empty() const { return rows_.empty(); }

 private:
  std::vector<std::string> head_;
  std::vector<std::vector<std::string>> rows_;
};

// Runs `program` with its arguments; returns the exit code. Nothing is thrown out of it.
int run(int argc, const char* const* argv);

// The commands, room by room.
void add_board_commands(CLI::App& app, Context& context);
void add_list_commands(CLI::App& app, Context& context);  // after add_board_commands
void add_signal_commands(CLI::App& app, Context& context);
void add_answer_commands(CLI::App& app, Context& context);
void add_job_commands(CLI::App& app, Context& context);
void add_assess_command(CLI::App& app, Context& context);
void add_plan_commands(CLI::App& app, Context& context);
void add_reading_command(CLI::App& app, Context& context);
void add_intake_command(CLI::App& app, Context& context);
void add_sharing_commands(CLI::App& app, Context& context);
void add_photo_commands(CLI::App& app, Context& context);
void add_shelf_commands(CLI::App& app, Context& context);
void add_settings_command(CLI::App& app, Context& context);
void add_verdict_command(CLI::App& app, Context& context);
void add_suspect_command(CLI::App& app, Context& context);
void add_fact_commands(CLI::App& app, Context& context);
void add_check_command(CLI::App& app, Context& context);
void add_map_command(CLI::App& app, Context& context);
void add_layout_command(CLI::App& app, Context& context);
void add_report_command(CLI::App& app, Context& context);
void add_rescue_command(CLI::App& app, Context& context);

}  // namespace landfall::cli
