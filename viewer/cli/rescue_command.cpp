#include <algorithm>
#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "netdb/store/rescue.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// bench rescue.

namespace landfall::cli {
namespace {

void run_rescue(Context& context, const std::string& file, const std::string& out) {
  const auto rescued = store::rescue(file, out);
  if (!rescued.ok()) return context.fail(rescued.error());
  Json list = Json::array();
  Table table({"table", "kept", "missing", "refused", "mended", "dropped", "made up", "damage"});
  const auto shown = [](std::int64_t n) { return n == 0 ? std::string() : std::to_string(n); };
  for (const store::RescuedTable& t : rescued->tables) {
    list.push_back({{"table", t.name},
                    {"kept", t.kept},
                    {"missing", t.missing},
                    {"refused", t.refused},
                    {"mended", t.mended},
                    {"dropped", t.dropped},
                    {"made_up", t.invented},
                    {"damage", name_or_null(t.damage)}});
    table.row({t.name, std::to_string(t.kept), shown(t.missing), shown(t.refused), shown(t.mended),
               shown(t.dropped), shown(t.invented), t.damage});
  }
  if (context.json)
    return context.print(
        {{"file", out}, {"whole", rescued->whole()}, {"notes", rescued->notes}, {"tables", list}});
  table.print(context);
  for (const std::string& note : rescued->notes) context.say("  " + note);
  if (rescued->whole())
    return context.say(fmt::format("{}: all of {} is in it; nothing was damaged", out, file));
  context.say(fmt::format(
      "{}: what can be read of {} is in it. What is called \"lost ...\" was made up for what refers to it.",
      out, file));
  if (std::any_of(rescued->tables.begin(), rescued->tables.end(),
                  [](const store::RescuedTable& t) { return t.refused + t.mended > 0; })) {
    context.say(
        "refused: rows that say what cannot be; mended: kept without such a value (a part without its place, "
        "a name as \"lost ...\")");
  }
  context.say(
      "The old file was not touched. Read the boards' own files again: landfall import FILE --into BOARD");
}

}  // namespace

void add_rescue_command(CLI::App& app, Context& context) {
  struct Args {
    std::string file, out;
  };
  auto args = std::make_shared<Args>();
  Context* c = &context;
  auto* bench = app.add_subcommand("bench", "the bench file itself");
  bench->require_subcommand(1);
  auto* rescue = bench->add_subcommand("rescue", "what can be read of a damaged bench file, into a new one");
  rescue->add_option("file", args->file, "the damaged file, which is only read")->required();
  rescue->add_option("out", args->out, "the new file, which must not be there yet")->required();
  rescue->callback([=] { run_rescue(*c, args->file, args->out); });
}

}  // namespace landfall::cli
