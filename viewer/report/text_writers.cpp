// CSV and JSON, and the choice of a writer by the file's name.
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "viewer/app/whole_file.hpp"
#include "viewer/report/writers.hpp"

namespace landfall::report {
namespace {

bool for_machines(const Column& column) {
  return column.holds != Holds::kWrite && column.holds != Holds::kTick;
}

// Would a spreadsheet take it for a formula? "+3V3" and "-12V" are names and stay as they are.
bool looks_like_formula(const std::string& text) {
  if (text.empty()) return false;
  if (text.front() == '=' || text.front() == '@') return true;
  return (text.front() == '+' || text.front() == '-') && text.find_first_of("(|!") != std::string::npos;
}

std::string quoted(const std::string& raw, bool text) {
  std::string clean = scene::clean_text(raw);
  if (text && looks_like_formula(clean)) clean.insert(0, 1, '\'');
  if (clean.find_first_of(",\"\r\n") == std::string::npos) return clean;
  std::string made = "\"";
  for (const char c : clean) {
    made += c;
    if (c == '"') made += '"';
  }
  return made + '"';
}

void add_table(std::string& out, const std::string& sheet, const Table& table) {
  out += quoted(sheet, false) + "," + quoted(table.key, false) + "\r\n";
  std::string head;
  for (const Column& column : table.columns) {
    if (for_machines(column)) head += (head.empty() ? "" : ",") + quoted(column.key, false);
  }
  out += head + "\r\n";
  for (const auto& row : table.rows) {
    bool first = true;
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (!for_machines(table.columns[i])) continue;
      if (!first) out += ",";
      first = false;
      out += row[i].number ? fmt::format("{}", *row[i].number) : quoted(row[i].text, true);
    }
    out += "\r\n";
  }
  out += "\r\n";
}

using Json = nlohmann::ordered_json;

Json table_json(const Table& table) {
  Json rows = Json::array();
  for (const auto& row : table.rows) {
    Json made = Json::object();
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (!for_machines(table.columns[i])) continue;
      Json& value = made[table.columns[i].key];
      if (row[i].number) {
        value = *row[i].number;
      } else if (!row[i].text.empty()) {
        value = row[i].text;
      }
    }
    rows.push_back(std::move(made));
  }
  return rows;
}

}  // namespace

std::string csv(const Document& document) {
  std::string out;
  for (const Sheet& sheet : document.sheets) {
    for (const Block& block : sheet.blocks) {
      if (block.kind == BlockKind::kTable) add_table(out, sheet.key, block.table);
    }
  }
  return out;
}

std::string json(const Document& document) {
  Json all{{"job", document.job},
           {"title", document.job_title.empty() ? Json(nullptr) : Json(document.job_title)},
           {"board", document.board},
           {"date", document.date.empty() ? Json(nullptr) : Json(document.date)},
           {"sheets", Json::array()}};
  for (const Sheet& sheet : document.sheets) {
    Json made{{"sheet", sheet.key}, {"title", sheet.title}};
    Json cautions = Json::array();
    Json says = Json::array();
    Json tables = Json::object();
    for (const Block& block : sheet.blocks) {
      if (block.kind == BlockKind::kCaution) cautions.push_back(block.text);
      if (block.kind == BlockKind::kText || block.kind == BlockKind::kLead) says.push_back(block.text);
      if (block.kind == BlockKind::kTable) tables[block.table.key] = table_json(block.table);
    }
    made["cautions"] = std::move(cautions);
    made["says"] = std::move(says);
    made["tables"] = std::move(tables);
    all["sheets"].push_back(std::move(made));
  }
  return all.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

Result<int> write_document(const Document& document, const std::filesystem::path& file) {
  const std::string ending = file.extension().string();
  std::string bytes;
  int pages = 0;
  if (ending == ".html") {
    bytes = html(document);
  } else if (ending == ".csv") {
    bytes = csv(document);
  } else if (ending == ".json") {
    bytes = json(document);
  } else if (ending == ".pdf") {
    auto made = pdf(document);
    if (!made.ok()) return made.error();
    bytes = std::move(made->bytes);
    pages = made->pages;
  } else {
    return Error{ErrorCode::kUsage,
                 fmt::format("{}: a sheet's name ends in .html, .pdf, .csv or .json", file.string())};
  }
  if (auto written = app::write_whole(bytes, file); !written.ok()) return written.error();
  return pages;
}

}  // namespace landfall::report
