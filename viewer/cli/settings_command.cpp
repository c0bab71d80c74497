#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "netdb/model/settings.hpp"
#include "viewer/app/import.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// settings: the shop's own figures, shown, changed one by one, or taken from a file.

namespace landfall::cli {
namespace {

using Change = std::pair<std::string, std::optional<double>>;  // no value: back to the default

Result<Change> read_change(const std::string& name, const std::string& value) {
  const SettingInfo* info = find_setting(name);
  if (info == nullptr) return Error{ErrorCode::kNotFound, "there is no setting " + name};
  if (value == "default") return Change{name, std::nullopt};
  const auto number = parse_decimal(value);
  if (!number || *number < info->least || *number > info->most) {
    return Error{ErrorCode::kUsage, fmt::format("{} lies between {} and {} {}, or is \"default\"", name,
                                                info->least, info->most, info->unit)};
  }
  return Change{name, number};
}

// Lines of NAME VALUE; from # on nothing counts. The first line that is wrong is named, with its place.
Result<std::vector<Change>> read_changes(const std::string& file, std::string_view text) {
  std::vector<Change> changes;
  std::size_t line = 0;
  while (!text.empty()) {
    ++line;
    const std::size_t end = text.find('\n');
    std::string_view own = text.substr(0, end);
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
    own = own.substr(0, own.find('#'));
    std::vector<std::pair<std::size_t, std::string>> words;
    for (std::size_t at = 0; (at = own.find_first_not_of(" \t\r", at)) != std::string_view::npos;) {
      const std::size_t stop = std::min(own.find_first_of(" \t\r", at), own.size());
      words.emplace_back(at + 1, own.substr(at, stop - at));
      at = stop;
    }
    if (words.empty()) continue;
    const auto wrong = [&](std::size_t column, const std::string& what) {
      return Error{ErrorCode::kInput, fmt::format("{}:{}:{}: {}", file, line, column, what)};
    };
    if (words.size() != 2) return wrong(words.back().first, "a line is a setting's name and its value");
    auto change = read_change(words[0].second, words[1].second);
    if (!change.ok())
      return wrong(change.error().code == ErrorCode::kNotFound ? words[0].first : words[1].first,
                   change.error().message);
    changes.push_back(std::move(change).value());
  }
  return changes;
}

struct SettingsArgs {
  std::string name, value, from;
};

void run_settings(Context& context, const SettingsArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const SettingInfo* chosen = args.name.empty() ? nullptr : find_setting(args.name);
  if (!args.name.empty() && chosen == nullptr)
    return context.fail({ErrorCode::kNotFound, "there is no setting " + args.name});
  std::vector<Change> changes;
  if (!args.from.empty()) {
    const auto text = app::read_file(args.from);
    if (!text.ok()) return context.fail(text.error());
    auto read = read_changes(args.from, *text);
    if (!read.ok()) return context.fail(read.error());
    changes = std::move(read).value();
  } else if (!args.value.empty()) {
    auto change = read_change(args.name, args.value);
    if (!change.ok()) return context.fail(change.error());
    changes.push_back(std::move(change).value());
  }
  if (auto kept = bench->set_settings(changes); !kept.ok()) return context.fail(kept.error());
  Json list = Json::array();
  Table table({"setting", "value", "default", "unit", "what it does (source)"});
  for (const SettingInfo& info : settings()) {
    if (chosen != nullptr && &info != chosen) continue;
    const bool named = std::any_of(changes.begin(), changes.end(),
                                   [&](const Change& change) { return change.first == info.name; });
    if (!args.from.empty() && !named) continue;
    const auto own = app::setting(*bench, info);
    if (!own.ok()) return context.fail(own.error());
    list.push_back({{"name", info.name},
                    {"value", *own},
                    {"default", info.standard},
                    {"unit", info.unit},
                    {"meaning", info.meaning},
                    {"source", info.source}});
    table.row({std::string(info.name), fmt::format("{}", *own), fmt::format("{}", info.standard),
               std::string(info.unit), fmt::format("{} ({})", info.meaning, info.source)});
  }
  if (context.json) return context.print({{"settings", list}});
  table.print(context);
}

}  // namespace

void add_settings_command(CLI::App& app, Context& context) {
  Context* c = &context;
  auto args = std::make_shared<SettingsArgs>();
  auto* settings = app.add_subcommand("settings", "the shop's own figures, each with its default and source");
  auto* name = settings->add_option("name", args->name, "one of them");
  settings->add_option("value", args->value, "its new value, or \"default\"");
  settings->add_option("--from", args->from, "a file of lines NAME VALUE: all of them or none")
      ->excludes(name);
  settings->callback([=] { run_settings(*c, *args); });
}

}  // namespace landfall::cli
