// The job's record: intake, the map with its marks, every mark with its note, what was lost, facts, and for
// the shop how the verdict was reckoned.
#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "viewer/app/facts.hpp"
#include "viewer/app/intake.hpp"
#include "viewer/report/sheet_pieces.hpp"
#include "viewer/scene/photo_scene.hpp"

namespace landfall::report {
namespace {

using rework::State;
using rework::verdict::Option;

std::string safety_text(SafetyAnswer answer) {
  switch (answer) {
    case SafetyAnswer::kNotAsked:
      return "not asked yet";
    case SafetyAnswer::kNo:
      return "no";
    case SafetyAnswer::kYes:
      return "yes";
  }
  return "";
}

bool referred(const SheetInput& input) {
  return input.job.job.safety_critical == SafetyAnswer::kYes;
}

Table intake_table(const SheetInput& input) {
  const Job& job = input.job.job;
  Table made;
  made.key = "intake";
  made.title = "Intake";
  made.columns = {{"what", "what"}, {"answer", "answer"}};
  const auto row = [&](std::string what, std::string answer) {
    made.rows.push_back({say(std::move(what)), say(std::move(answer))});
  };
  row("job", std::to_string(job.id));
  row("title", job.title);
  row("board", input.job.board->info().name);
  row("lifted", listed(job.lifted));
  row("opened", day_text(job.created));
  row("last kept", day_text(job.kept));
  row("state", job.closed ? "closed" : "open");
  row("safety-critical", safety_text(job.safety_critical));
  for (const app::IntakeTopic& topic : app::intake_topics()) {
    const auto given = std::find_if(input.intake.begin(), input.intake.end(),
                                    [&](const IntakeAnswer& a) { return a.topic == topic.word; });
    // The whole question: 'battery: no' alone may be read either way.
    if (given != input.intake.end()) row(std::string(topic.question), given->answer);
  }
  return made;
}

Table mark_table(const SheetInput& input) {
  const Board& board = input.job.board->board();
  const BoardIndex& index = input.job.board->index();
  const Signals& signals = input.job.board->signals();
  std::map<Index, const rework::SiteAnswer*> answers;
  for (const auto& site : input.job.assessment.sites) answers[site.pin] = &site;
  Table made;
  made.key = "marks";
  made.title = "Marks";
  made.columns = {{"site", "site", Holds::kName},
                  {"mark", "mark"},
                  {"net", "net", Holds::kName},
                  {"class", "class"},
                  {"group", "group"},
                  {"need", "need"},
                  {"reason", "why"},
                  {"note", "note"}};
  if (referred(input))
    std::erase_if(made.columns, [](const Column& c) { return c.key == "need" || c.key == "reason"; });
  made.none = "No marks yet.";
  for (const Mark& mark : input.job.job.marks) {
    if (mark.kind == MarkKind::kSound && mark.note.empty()) continue;
    const Index part = index.part(mark.part);
    const Index pin = part == kNone ? kNone : index.pin(part, mark.ball);
    const Index net = pin == kNone ? kNone : board.pins[pin].net;
    const auto answer = pin == kNone ? answers.end() : answers.find(pin);
    std::string kind(word(mark.kind));
    if (mark.via_good) kind += ", via good";
    if (!mark.only_toward.empty()) kind += ", only to " + mark.only_toward;
    std::string signal_class = "unconnected";
    if (pin == kNone) signal_class = "not on the board any more";
    if (net != kNone) signal_class = word(signals.nets[net].signal_class);
    std::vector<Cell> row{say(mark.part + "." + mark.ball), say(kind), say(net_name(input.job, net)),
                          say(signal_class), say(group_name(input.job, net))};
    if (!referred(input)) {
      row.push_back(say(answer == answers.end() ? "" : std::string(word(answer->second->need))));
      row.push_back(say(answer == answers.end() ? "" : answer->second->reason));
    }
    row.push_back(say(mark.note));
    made.rows.push_back(std::move(row));
  }
  return made;
}

std::string sound_line(const SheetInput& input) {
  std::vector<std::string> names;
  for (const Mark& mark : input.job.job.marks) {
    if (mark.kind == MarkKind::kSound) names.push_back(mark.part + "." + mark.ball);
  }
  return names.empty() ? std::string() : "Looked at and sound: " + listed(names) + ".";
}

Table lane_table(const SheetInput& input) {
  const Signals& signals = input.job.board->signals();
  Table made;
  made.key = "lanes";
  made.title = "Lanes that do not run";
  made.columns = {
      {"name", "lane"}, {"state", "state"}, {"lost", "lines lost", Holds::kFigure}, {"because", "because"}};
  for (const auto& lane : input.job.assessment.lanes) {
    if (lane.state == State::kUp) continue;
    made.rows.push_back({say(signals.lanes[lane.group].name), say(std::string(word(lane.state))),
                         count(lane.lost.size()), say(lane.because)});
  }
  return made;
}

Table net_table(const SheetInput& input) {
  const Signals& signals = input.job.board->signals();
  Table made;
  made.key = "nets";
  made.title = "Nets of the marked sites";
  made.columns = {
      {"net", "net", Holds::kName}, {"class", "class"}, {"state", "state"}, {"because", "because"}};
  for (const auto& net : input.job.assessment.nets) {
    made.rows.push_back({say(net_name(input.job, net.group)),
                         say(std::string(word(signals.nets[net.group].signal_class))),
                         say(std::string(word(net.state))), say(net.because)});
  }
  return made;
}

bool has_place(const Fact& fact) {
  return fact.kind == FactKind::kBanned || fact.kind == FactKind::kAdded;
}

Table fact_table(const SheetInput& input) {
  Table made;
  made.key = "facts";
  made.title = "Facts: measured or read";
  made.columns = {
      {"when", "when"},          {"a", "at", Holds::kName},      {"fact", "is"},
      {"b", "to", Holds::kName}, {"name", "name", Holds::kName}, {"place_mm", "place, mm", Holds::kFigure}};
  for (const Fact& fact : input.job.job.facts) {
    made.rows.push_back(
        {say(day_text(fact.created)), say(fact.a), say(std::string(word(fact.kind))), say(fact.b),
         say(fact.name),
         say(has_place(fact) ? input.job.board->index().place_text(fact.place) : std::string())});
  }
  return made;
}

Table outcome_table(const SheetInput& input) {
  Table made;
  made.key = "outcomes";
  made.title = "What came of it";
  made.columns = {{"when", "when"},
                  {"site", "at", Holds::kName},
                  {"kind", "what"},
                  {"outcome", "outcome"},
                  {"note", "note"}};
  for (const Outcome& outcome : input.outcomes) {
    made.rows.push_back({say(day_text(outcome.at)), say(outcome.site.empty() ? "the job" : outcome.site),
                         say(outcome.kind), say(std::string(app::word_of(outcome))), say(outcome.note)});
  }
  return made;
}

Table reckoning_table(const rework::verdict::Verdict& verdict) {
  Table made;
  made.key = "reckoning";
  made.title = "For the shop: what each option brings";
  made.columns = {{"option", "option"},
                  {"margin", "margin", Holds::kFigure},
                  {"margin_low", "from", Holds::kFigure},
                  {"margin_high", "to", Holds::kFigure},
                  {"price", "price", Holds::kFigure},
                  {"chance", "chance", Holds::kFigure},
                  {"minutes", "time", Holds::kFigure},
                  {"why_not", "not offered"}};
  for (const Option& option : verdict.options) {
    if (!option.offered) {
      made.rows.push_back({say(std::string(word(option.kind))), say(""), say(""), say(""), say(""), say(""),
                           say(""), say(option.why_not)});
      continue;
    }
    made.rows.push_back({say(std::string(word(option.kind))), money(option.margin, true),
                         money(option.margin_low, true), money(option.margin_high, true), money(option.price),
                         chance(option.chance), minutes(option.minutes), say("")});
  }
  return made;
}

Table term_table(const rework::verdict::Verdict& verdict) {
  Table made;
  made.key = "terms";
  made.title = "Each term";
  made.columns = {{"option", "option"}, {"term", "term"}, {"how", "how"}, {"money", "money", Holds::kFigure}};
  for (const Option& option : verdict.options) {
    if (!option.offered) continue;
    for (const auto& term : option.terms)
      made.rows.push_back(
          {say(std::string(word(option.kind))), say(term.name), say(term.how), money(term.money, true)});
  }
  made.none = "None.";
  return made;
}

Table chance_table(const rework::verdict::Verdict& verdict) {
  Table made;
  made.key = "chances";
  made.title = "The chance taken apart";
  made.columns = {{"kind", "of"},
                  {"times", "times", Holds::kFigure},
                  {"prior", "assumed", Holds::kFigure},
                  {"worked", "own: worked", Holds::kFigure},
                  {"failed", "own: failed", Holds::kFigure},
                  {"mean", "now", Holds::kFigure},
                  {"all", "together", Holds::kFigure}};
  for (const auto& shown : verdict.chances) {
    made.rows.push_back({say(std::string(word(shown.kind))), number(shown.n), percent(shown.prior),
                         count(static_cast<std::size_t>(shown.own.worked)),
                         count(static_cast<std::size_t>(shown.own.failed)), percent(shown.mean),
                         percent(shown.power)});
  }
  made.none = "None.";
  return made;
}

void add_reckoning(std::vector<Block>& blocks, const SheetInput& input) {
  const auto& verdict = *input.verdict;
  blocks.push_back(table(reckoning_table(verdict)));
  if (!verdict.says.empty()) blocks.push_back(text(verdict.says));
  if (!verdict.break_even_says.empty()) blocks.push_back(text("Break-even: " + verdict.break_even_says));
  for (const std::string& remark : verdict.remarks) blocks.push_back(text(remark));
  for (const auto& flip : verdict.soonest) {
    blocks.push_back(text(fmt::format("The answer becomes '{}' when {} goes from {:g} to {:.4g}.",
                                      word(flip.then), flip.setting, flip.from, flip.to)));
  }
  blocks.push_back(table(term_table(verdict)));
  blocks.push_back(table(chance_table(verdict)));
}

// Each photo with the lands and marks over it, where it lies on the board.
void add_photos(std::vector<Block>& blocks, const SheetInput& input) {
  for (const SheetPhoto& photo : input.photos) {
    const Photo& of = photo.laid.photo;
    const std::string says =
        fmt::format("Photo {}, {} side{}{}", of.number, word(of.side), of.note.empty() ? "" : ": ", of.note);
    Block heading;
    heading.kind = BlockKind::kHeading;
    heading.text = says;
    blocks.push_back(std::move(heading));
    Block block;
    block.kind = BlockKind::kPicture;
    block.text = says + (photo.laid.fit ? ", with the lands and marks over it" : "");
    scene::PhotoInput in;
    in.board = input.job.board.get();
    in.job = &input.job.job;
    in.laid = &photo.laid;
    in.lands = &photo.lands;
    in.scale = scene::photo_scale(of);
    block.picture = {of.width * in.scale, of.height * in.scale, scene::photo_shapes(in), photo.picture};
    blocks.push_back(std::move(block));
    // Below it, so that the heading stays with the picture.
    blocks.push_back(text(fmt::format("Laid on the board: {}.", photo.laid.says)));
  }
}

void add_if_any(std::vector<Block>& blocks, Table made) {
  if (!made.rows.empty()) blocks.push_back(table(std::move(made)));
}

}  // namespace

void add_intake_cautions(std::vector<Block>& blocks, const SheetInput& input) {
  if (input.intake.empty()) return;
  // Whether it is safety-critical has a line of its own on each sheet.
  const std::vector<IntakeAnswer> answers(input.intake.begin(), input.intake.end());
  for (const std::string& one : app::intake_cautions(answers, SafetyAnswer::kNo))
    blocks.push_back(caution(one));
}

Sheet record_sheet(const SheetInput& input) {
  Sheet sheet;
  sheet.title = "Job record";
  auto& blocks = sheet.blocks;
  blocks.push_back(text(job_line(input)));
  if (referred(input)) blocks.push_back(lead(std::string(rework::verdict::kSafetyReferral)));
  if (input.job.job.safety_critical == SafetyAnswer::kNotAsked) blocks.push_back(caution(kCautionAsk));
  blocks.push_back(table(intake_table(input)));
  add_intake_cautions(blocks, input);
  blocks.push_back(form({"state on arrival", "liquid, earlier work", "missing parts", "data: keep or erase",
                         "customer's signature"}));
  blocks.push_back(caution(kCautionHeat));
  blocks.push_back(table(channel_table(input, input.job.assessment.channels.size())));
  blocks.push_back(text(damage_line(input)));
  add_if_any(blocks, lane_table(input));
  add_maps(blocks, input, {!referred(input), false, 560});
  blocks.push_back(table(mark_table(input)));
  if (std::string sound = sound_line(input); !sound.empty()) blocks.push_back(text(std::move(sound)));
  add_if_any(blocks, net_table(input));
  std::vector<std::string> cut_off;
  for (const Index pin : input.job.assessment.cut_off)
    cut_off.push_back(input.job.board->index().pin_text(pin));
  if (!cut_off.empty())
    blocks.push_back(
        text("Cut off by the marks or measured open, though nobody marked them: " + listed(cut_off) + "."));
  add_if_any(blocks, fact_table(input));
  if (!referred(input)) add_if_any(blocks, outcome_table(input));
  if (!referred(input) && input.verdict) add_reckoning(blocks, input);
  add_photos(blocks, input);
  blocks.push_back(caution(kCautionLaw));
  return sheet;
}

}  // namespace landfall::report
