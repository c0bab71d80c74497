#include <algorithm>
#include <memory>
#include <set>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "netdb/slots/slots.hpp"
#include "viewer/app/lists.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// alias, and what `board` does for boards made of lists or of nothing: slots, add, rub, restore, name.

namespace landfall::cli {
namespace {

struct Args {
  std::string board, part, slot, from, to;
  std::vector<std::string> words;
  std::vector<std::int64_t> numbers;
  double at_least = 0;
  bool all = false;
};

void run_slots(Context& context) {
  Json list = Json::array();
  Table table({"slot", "pins", "standard", "table from"});
  for (const slots::Slot& slot : slots::all()) {
    list.push_back(
        {{"slot", slot.name}, {"pins", slot.pins}, {"standard", slot.standard}, {"source", slot.source}});
    table.row({std::string(slot.name), std::to_string(slot.pins), std::string(slot.standard),
               std::string(slot.source)});
  }
  if (context.json) return context.print({{"slots", list}});
  table.print(context);
}

// The board that the words name; nothing, and it is said, when there is none.
std::optional<store::BoardInfo> board_of(Context& context, const std::string& text) {
  auto* bench = context.bench();
  if (bench == nullptr) return std::nullopt;
  auto info = app::find_board(*bench, text);
  if (info.ok()) return std::move(info).value();
  context.fail(info.error());
  return std::nullopt;
}

void run_add(Context& context, const Args& args) {
  const auto info = board_of(context, args.board);
  if (!info) return;
  const auto report = app::add_slot(*context.bench(), *info, args.part, args.slot);
  if (!report.ok()) return context.fail(report.error());
  const auto open = app::open_board(*context.bench(), info->id);
  if (!open.ok()) return context.fail(open.error());
  if (context.json) {
    return context.print({{"board", info->name},
                          {"part", args.part},
                          {"parts", report->board.parts},
                          {"joined", (*open)->name_joins().size()},
                          {"notes", report->notes}});
  }
  for (const std::string& note : report->notes) context.say(note);
  context.say(fmt::format("{} joined by equal names; landfall alias {} suggest proposes more",
                          count_of((*open)->name_joins().size(), "signal"), info->name));
}

void print_edit(Context& context, const store::BoardInfo& info, const Result<app::PackageEdit>& edit,
                std::string_view verb) {
  if (!edit.ok()) return context.fail(edit.error());
  if (context.json)
    return context.print({{"board", info.name}, {"changed", edit->changed}, {"notes", edit->notes}});
  context.say(fmt::format("{}: {} {}", info.name, count_of(edit->changed, "site"), verb));
  for (const std::string& note : edit->notes) context.say("  " + note);
}

void run_rub(Context& context, const Args& args, bool out) {
  const auto info = board_of(context, args.board);
  if (!info) return;
  print_edit(context, *info,
             out ? app::rub_out(*context.bench(), *info, args.part, args.words)
                 : app::put_back(*context.bench(), *info, args.part, args.words),
             out ? "rubbed out" : "put back");
}

void run_name(Context& context, const Args& args) {
  const auto info = board_of(context, args.board);
  if (!info) return;
  std::vector<app::SiteName> names;
  for (const std::string& word : args.words) {
    const auto equals = word.find('=');
    if (equals == std::string::npos || equals == 0)
      return context.fail({ErrorCode::kUsage, fmt::format("{}: a name is given as BALL=NAME", word)});
    names.push_back({word.substr(0, equals), word.substr(equals + 1)});
  }
  print_edit(context, *info, app::name_balls(*context.bench(), *info, args.part, names), "named");
}

std::string shown(const std::string& part, const std::string& name) {
  return part.empty() ? name : part + ":" + name;
}

std::string group_id(const join::NameGroup& g) {
  return fmt::format("{}={}", shown(g.part, g.pattern), shown(g.to_part, g.to_pattern));
}

void run_alias_list(Context& context, const Args& args) {
  const auto info = board_of(context, args.board);
  if (!info) return;
  const auto aliases = context.bench()->aliases(info->id);
  if (!aliases.ok()) return context.fail(aliases.error());
  const auto open = app::open_board(*context.bench(), info->id);
  if (!open.ok()) return context.fail(open.error());
  Json list = Json::array();
  Table table({"no", "name", "is", "why"});
  for (const NameAlias& a : *aliases) {
    list.push_back({{"id", a.id},
                    {"part", name_or_null(a.part)},
                    {"name", a.name},
                    {"to_part", name_or_null(a.to_part)},
                    {"to_name", a.to_name},
                    {"why", a.why}});
    table.row({std::to_string(a.id), shown(a.part, a.name), shown(a.to_part, a.to_name), a.why});
  }
  Json conflicts = Json::array();
  for (const auto& c : (*open)->name_conflicts()) conflicts.push_back({{"name", c.name}, {"says", c.says}});
  const std::size_t joined = (*open)->name_joins().size();
  if (context.json) return context.print({{"aliases", list}, {"joined", joined}, {"conflicts", conflicts}});
  if (!table.empty()) table.print(context);
  if (table.empty()) context.say("No aliases yet. landfall alias BOARD suggest proposes some.");
  context.say(fmt::format("{} joined by name, by equal names and by these", count_of(joined, "signal")));
  for (const auto& c : (*open)->name_conflicts()) context.say("  " + c.says);
}

void run_alias_add(Context& context, const Args& args) {
  const auto info = board_of(context, args.board);
  if (!info) return;
  const auto open = app::open_board(*context.bench(), info->id);
  if (!open.ok()) return context.fail(open.error());
  const std::size_t before = (*open)->name_joins().size();
  const app::SideName from = app::side_name(args.from);
  const app::SideName to = app::side_name(args.to);
  const auto added =
      context.bench()->add_aliases(info->id, {{0, from.part, from.name, to.part, to.name, "typed in"}});
  if (!added.ok()) return context.fail(added.error());
  const auto after = app::open_board(*context.bench(), info->id);
  if (!after.ok()) return context.fail(after.error());
  const std::size_t joins = (*after)->name_joins().size();
  if (context.json) return context.print({{"added", *added}, {"joined", joins}});
  context.say(*added == 0 ? "this alias was there already" : fmt::format("{} is {}", args.from, args.to));
  if (joins == before)
    context.say(
        "nothing was joined by it: two parts known by lists must have the names, or they are one net");
}

void run_alias_remove(Context& context, const Args& args) {
  const auto info = board_of(context, args.board);
  if (!info) return;
  std::vector<std::int64_t> numbers = args.numbers;
  if (args.all) {
    const auto aliases = context.bench()->aliases(info->id);
    if (!aliases.ok()) return context.fail(aliases.error());
    for (const NameAlias& alias : *aliases) numbers.push_back(alias.id);
  }
  if (numbers.empty() && !args.all)
    return context.fail({ErrorCode::kUsage, "say which, by number, or --all"});
  if (const Status removed = context.bench()->remove_aliases(info->id, numbers); !removed.ok())
    return context.fail(removed.error());
  if (context.json) return context.print({{"removed", numbers}});
  context.say(fmt::format("{} removed", count_of(numbers.size(), "alias")));
}

void run_suggest(Context& context, const Args& args) {
  const auto info = board_of(context, args.board);
  if (!info) return;
  const auto groups = app::name_suggestions(*context.bench(), info->id);
  if (!groups.ok()) return context.fail(groups.error());
  Json list = Json::array();
  Table table({"group", "names", "are", "pairs", "score", "why"});
  for (const join::NameGroup& g : *groups) {
    const std::string id = group_id(g);
    Json pairs = Json::array();
    for (const join::NamePair& pair : g.pairs) pairs.push_back({pair.name, pair.to_name});
    list.push_back({{"group", id},
                    {"part", name_or_null(g.part)},
                    {"names", g.pattern},
                    {"to_part", name_or_null(g.to_part)},
                    {"to_names", g.to_pattern},
                    {"kind", g.kind},
                    {"score", g.score},
                    {"reason", g.reason},
                    {"pairs", pairs},
                    {"conflicts", g.conflicts}});
    std::string why = g.reason;
    for (const std::string& conflict : g.conflicts) why += "; but " + conflict;
    table.row(
        {id, g.pattern, g.to_pattern, std::to_string(g.pairs.size()), fmt::format("{:.2f}", g.score), why});
  }
  if (context.json) return context.print({{"suggestions", list}});
  if (table.empty())
    return context.say("Nothing to propose: no names of two parts known by lists look alike.");
  table.print(context);
  context.say(
      "Names only: bits and lanes swapped on the board cannot be seen in them. Nothing is joined yet;");
  context.say(fmt::format(
      "landfall alias {} accept 'GROUP' takes one, 'U1:CH0_*=J1:*' all that fit, NAME=NAME a pair.",
      info->name));
}

// True when the text is the pattern, whose stars stand for anything.
bool fits(std::string_view pattern, std::string_view text) {
  if (pattern.empty()) return text.empty();
  if (pattern.front() != '*')
    return !text.empty() && text.front() == pattern.front() && fits(pattern.substr(1), text.substr(1));
  for (std::size_t skip = 0; skip <= text.size(); ++skip) {
    if (fits(pattern.substr(1), text.substr(skip))) return true;
  }
  return false;
}

// The groups that a word means: the one of that id, else all whose ids fit it.
bool means(const std::string& word, const std::string& id, const std::set<std::string>& ids) {
  return word == id || (!ids.contains(word) && fits(word, id));
}

// Whole groups by their ids, or one proposed pair.
void run_accept(Context& context, const Args& args) {
  const auto info = board_of(context, args.board);
  if (!info) return;
  const auto groups = app::name_suggestions(*context.bench(), info->id);
  if (!groups.ok()) return context.fail(groups.error());
  std::set<std::string> ids;
  for (const join::NameGroup& g : *groups) ids.insert(group_id(g));
  std::vector<NameAlias> taken;
  std::set<std::string> meant;
  for (const join::NameGroup& g : *groups) {
    const std::string id = group_id(g);
    bool whole = args.at_least > 0 && g.conflicts.empty() && g.score >= args.at_least;
    for (const std::string& word : args.words) {
      if (!means(word, id, ids)) continue;
      meant.insert(word);
      whole = true;
    }
    for (const NameAlias& alias : app::aliases_of(g)) {
      const std::string pair = alias.name + "=" + alias.to_name;
      const bool asked = std::find(args.words.begin(), args.words.end(), pair) != args.words.end();
      if (asked) meant.insert(pair);
      if (whole || asked) taken.push_back(alias);
    }
  }
  for (const std::string& word : args.words) {
    if (!meant.contains(word))
      return context.fail({ErrorCode::kNotFound, fmt::format("{}: no such group or pair is proposed", word)});
  }
  if (taken.empty())
    return context.fail({ErrorCode::kNotFound, "no group is that sure and free of conflicts"});
  const auto added = context.bench()->add_aliases(info->id, taken);
  if (!added.ok()) return context.fail(added.error());
  if (context.json) return context.print({{"added", *added}});
  context.say(fmt::format("{} accepted; landfall alias {} remove takes them back", count_of(*added, "pair"),
                          info->name));
}

}  // namespace

void add_list_commands(CLI::App& app, Context& context) {
  auto args = std::make_shared<Args>();
  Context* c = &context;
  auto* board = app.get_subcommand("board");
  board->add_subcommand("slots", "pin tables of standard slots and connectors")->callback([=] {
    run_slots(*c);
  });
  const auto with_part = [&](CLI::App* under, const char* name, const char* help) {
    auto* command = under->add_subcommand(name, help);
    command->add_option("board", args->board, "name or number")->required();
    command->add_option("part", args->part, "its reference")->required();
    return command;
  };
  auto* add = with_part(board, "add", "a standard slot or connector as a part of the board");
  add->add_option("--slot", args->slot, "which; landfall board slots lists them")->required();
  add->callback([=] { run_add(*c, *args); });
  auto* rub = with_part(board, "rub", "sites that the bare package has not");
  rub->add_option("sites", args->words, "E5, or C3..F6 for the rectangle")->required();
  rub->callback([=] { run_rub(*c, *args, true); });
  auto* restore = with_part(board, "restore", "sites that it has after all");
  restore->add_option("sites", args->words, "E5, or C3..F6 for the rectangle")->required();
  restore->callback([=] { run_rub(*c, *args, false); });
  auto* name = with_part(board, "name", "what the bare package's balls are");
  name->add_option("names", args->words, "BALL=NAME ...; nothing behind = takes a name off")->required();
  name->callback([=] { run_name(*c, *args); });

  auto* alias =
      app.add_subcommand("alias", "which name of one part is which of another, where lists are joined");
  alias->add_option("board", args->board, "name or number")->required();
  alias->require_subcommand(1);
  alias->add_subcommand("list", "what was accepted")->callback([=] { run_alias_list(*c, *args); });
  auto* put = alias->add_subcommand("add", "one name is another");
  put->add_option("name", args->from, "a name, or PART:NAME")->required();
  put->add_option("is", args->to, "a name, or PART:NAME")->required();
  put->callback([=] { run_alias_add(*c, *args); });
  auto* remove = alias->add_subcommand("remove", "take some back");
  remove->add_option("numbers", args->numbers, "their numbers in the list");
  remove->add_flag("--all", args->all, "all of this board");
  remove->callback([=] { run_alias_remove(*c, *args); });
  alias->add_subcommand("suggest", "what may belong together, by stem and index")->callback([=] {
    run_suggest(*c, *args);
  });
  auto* accept = alias->add_subcommand("accept", "take suggested groups or pairs");
  accept->add_option("groups", args->words, "groups as suggest writes them, * for anything, or NAME=NAME");
  accept->add_option("--at-least", args->at_least, "all groups with this score and without a conflict")
      ->check(CLI::Range(0.01, 1.0));
  accept->callback([=] { run_accept(*c, *args); });
}

}  // namespace landfall::cli
