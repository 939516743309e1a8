#include "engine/io/text.h"
#include "viewer/app/app.h"
#include "viewer/picture/png.h"
#include "viewer/store/shape_join.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <memory>

namespace steepwright::viewer {

namespace {

namespace fs = std::filesystem;

constexpr double kLongAgo_s = 1e9;

bool is_mesh_file(const fs::path& path) {
  std::string ending = path.extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  constexpr std::array<const char*, 5> kEndings = {".stl", ".obj", ".ply", ".glb", ".gltf"};
  return std::find(kEndings.begin(), kEndings.end(), ending) != kEndings.end();
}

}  // namespace

void App::start_recovery() {
  const fs::path folder = options_.folders.state / "unsaved";
  leftovers_ = find_leftovers(folder);
  if (auto slot = RecoverySlot::make(folder)) {
    autosaver_ = std::make_unique<Autosaver>(std::move(*slot));
    kept_revision_ = document_->revision();
  } else {
    report(slot.error());
  }
  if (leftovers_.empty()) return;
  ui_.recovered_name = name_of_file(leftovers_.front().scene_path);
  ui_.dialog = Dialog::kRecover;
}

void App::answer_recovery(bool is_wanted) {
  if (!settings_.has_seen_cautions) ui_.dialog = Dialog::kCautions;
  if (leftovers_.empty()) return;
  const Leftover leftover = leftovers_.front();
  leftovers_.erase(leftovers_.begin());
  if (is_wanted) return start_opening({leftover.scene_path, leftover});
  remove_leftover(leftover);
}

void App::replace_document(OpenedScene opened, const ShadedShapes& shapes) {
  const std::uint64_t first_revision = document_->last_revision() + 1;
  document_.emplace(std::move(opened), first_revision);
  results_.restart(first_revision);
  ui_.move = 0;
  ui_.hold = -1;
  ui_.site = 0;
  ui_.t = 0.0;
  ui_.is_playing = true;
  ui_.define = {};
  ui_.texts.clear();
  kept_revision_ = 0;
  view_.reset();
  take_shapes(shapes);
  calm_frames_ = 0;
}

void App::take_shapes(const ShadedShapes& shapes) {
  for (const auto& [name, mesh] : shapes.meshes) view_.meshes().add(name, mesh);
  report(shapes.findings);
}

void App::start_opening(SceneSource source) {
  guarded_revision_ = document_->revision();
  opening_.start(std::move(source));
  describe_files();
}

void App::stop_opening() {
  if (!opening_.is_busy()) return;
  tell("stopped " + opening_.describe(), false, ui_);
  opening_.stop();
  waiting_meshes_.clear();
  end_first_wait();
  describe_files();
}

void App::describe_files() {
  ui_.is_opening = opening_.is_busy();
  ui_.busy = ui_.is_opening      ? opening_.describe() + " (Esc stops)"
             : saving_.is_busy() ? saving_.describe()
             : export_.is_busy() ? export_.describe()
                                 : drop_.describe();
}

Result<void> App::wait_first_scene(std::chrono::milliseconds most) {
  opening_.wait(most);
  if (std::optional<ReadScene> read = opening_.take()) open_read(std::move(*read));
  if (!first_faults_.empty()) return tl::unexpected<Findings>(first_faults_);
  return {};
}

void App::take_opened() {
  // A dialog is about the scene that is open, and so are what the mouse holds and what is being written.
  if (ui_.dialog != Dialog::kNone || ImGui::IsAnyMouseDown() || saving_.is_busy()) return;
  if (std::optional<ReadScene> read = opening_.take()) open_read(std::move(*read));
}

void App::open_read(ReadScene read) {
  calm_frames_ = 0;
  describe_files();
  if (!read.opened) return report_unopened(read);
  if (document_->revision() == guarded_revision_) return show_opened(std::move(read));
  // Edited while it was read.
  std::string question = fmt::format("Open {}?", name_of_file(read.source.path));
  guard(std::move(question),
        [this, kept = std::make_shared<ReadScene>(std::move(read))] { show_opened(std::move(*kept)); });
}

void App::report_unopened(const ReadScene& read) {
  waiting_meshes_.clear();
  const std::size_t count = read.opened.error().size();
  report(read.opened.error());
  if (ui_.is_awaiting_scene) {
    first_faults_ = read.opened.error();
    ui_.unopened_name = name_of_file(read.source.path);
    ui_.unopened_faults.clear();
    for (const Finding& finding : first_faults_) ui_.unopened_faults.push_back(to_text(finding));
    ui_.dialog = Dialog::kUnopened;
    end_first_wait();
  }
  const fs::path& path = read.source.path;
  std::string text = fmt::format("{} was not opened", name_of_file(path));
  if (read.source.leftover) {
    // What cannot be read stays where it is.
    text = fmt::format("the unsaved work is still in {}", read.source.leftover->file.string());
  } else if (std::error_code error; !fs::exists(path, error)) {
    std::erase(settings_.recent_files, path);
  }
  tell(fmt::format("{}: {} error{}, see the log", text, count, count == 1 ? "" : "s"), true, ui_);
}

void App::show_opened(ReadScene read) {
  end_first_wait();
  first_faults_.clear();
  const fs::path& path = read.source.path;
  replace_document(std::move(*read.opened), read.shapes);
  stamp_ = read.stamp;
  if (read.source.leftover) {
    document_->mark_unsaved();
    since_kept_s_ = kLongAgo_s;  // into this window's own file before the old one goes
    keep_unsaved(0.0);
    remove_leftover(*read.source.leftover);
    return tell("brought back what was not saved", false, ui_);
  }
  if (!path.empty()) remember_file(path, settings_);
  std::string text = "opened " + name_of_file(path);
  if (const std::size_t count = document_->warnings().size(); count > 0)
    text += fmt::format("; {} doubtful thing{}: see the log", count, count == 1 ? "" : "s");
  tell(std::move(text), false, ui_);
}

bool App::is_overtaken(const fs::path& path) {
  const std::optional<FileStamp> now = find_stamp(path);
  if (path != document_->path() || !stamp_ || !now || *now == *stamp_) return false;
  stamp_ = now;
  after_save_ = nullptr;
  waiting_meshes_.clear();
  tell(fmt::format("not saved: {} was written by another program since it was opened here; save again to replace it, "
                   "or save under another name",
                   name_of_file(path)),
       true, ui_);
  return true;
}

void App::save_to(const fs::path& path) {
  if (saving_.is_busy()) {
    next_save_ = path;
    return;
  }
  if (is_overtaken(path)) return;
  document_->end_gesture();
  saving_.start("saving " + name_of_file(path),
                [path, scene = SceneToSave(*document_)] { return save_scene(path, scene); });
  describe_files();
}

void App::take_saved() {
  std::optional<Result<SavedScene>> done = saving_.take();
  if (!done) return;
  calm_frames_ = 0;
  describe_files();
  const std::function<void()> action = std::exchange(after_save_, nullptr);
  const std::optional<fs::path> next = std::exchange(next_save_, std::nullopt);
  if (!*done) {
    waiting_meshes_.clear();
    return report(done->error());
  }
  SavedScene& saved = **done;
  stamp_ = find_stamp(saved.path);
  remember_file(saved.path, settings_);
  kept_revision_ = 0;
  std::string text = "saved as " + name_of_file(saved.path);
  if (!saved.taken_along.empty()) text += "; " + saved.taken_along;
  if (saved.comments_lost) text += "; comments of the old file are not kept";
  tell(std::move(text), false, ui_);
  mark_saved(std::move(saved), *document_);
  if (next) {
    after_save_ = action;
    return save_to(*next);
  }
  if (action) action();
}

void App::ask_file(Dialog dialog) {
  std::error_code error;
  const fs::path& path = document_->path();
  fs::path folder = path.empty() ? fs::current_path(error) : fs::absolute(path, error).parent_path();
  if (ui_.file.folder.empty() || !path.empty()) ui_.file.folder = folder;
  ui_.file.name.clear();
  if (dialog == Dialog::kSaveAs) ui_.file.name = path.empty() ? "my-scene.toml" : path.filename().string();
  if (dialog == Dialog::kPicture) ui_.file.name = (path.empty() ? fs::path("picture") : path.stem()).string() + ".png";
  ui_.file.listed_folder.clear();
  ui_.dialog = dialog;
}

void App::export_picture(const ExportPicture& wanted) {
  if (export_.is_busy()) return tell("another picture is still being written", true, ui_);
  auto image = view_.export_picture(wanted.width_px, wanted.height_px, settings_);
  if (!image) return report(image.error());
  // Packing a large picture takes a second.
  export_.start("writing " + name_of_file(wanted.path),
                [path = wanted.path, image = std::move(*image)]() -> Result<fs::path> {
                  if (auto saved = save_png(path, image); !saved) return tl::unexpected<Findings>(saved.error());
                  return path;
                });
  describe_files();
}

void App::take_exported() {
  const std::optional<Result<fs::path>> done = export_.take();
  if (!done) return;
  calm_frames_ = 0;
  describe_files();
  if (!*done) return report(done->error());
  tell("picture written to " + name_of_file(**done), false, ui_);
}

void App::guard(std::string question, std::function<void()> action) {
  if (saving_.is_busy()) {
    // Asked again then: the save may fail, and more may be edited meanwhile.
    after_save_ = [this, question = std::move(question), action = std::move(action)] { guard(question, action); };
    return;
  }
  if (!document_->is_modified()) return action();
  guarded_ = std::move(action);
  ui_.guard_question = std::move(question);
  ui_.dialog = Dialog::kGuard;
}

void App::answer_guard(GuardAnswer answer) {
  if (answer == GuardAnswer::kCancel) {
    guarded_ = nullptr;
  } else if (answer == GuardAnswer::kDiscard) {
    if (guarded_) std::exchange(guarded_, nullptr)();
  } else {
    after_save_ = [this, question = ui_.guard_question, action = std::exchange(guarded_, nullptr)] {
      guard(question, action);
    };
    carry_out(SaveScene{});
  }
}

void App::ask_close() {
  guard("Close the window?", [this] {
    if (autosaver_) autosaver_->keep(std::nullopt);
    is_closed_ = true;
  });
}

void App::drop_files(const std::vector<fs::path>& files) {
  for (const fs::path& file : files) {
    if (is_mesh_file(file)) {
      drop_mesh(file);
    } else {
      carry_out(OpenScene{file});
    }
  }
  calm_frames_ = 0;
}

void App::drop_mesh(const fs::path& path) {
  // It joins the scene that is being opened, and waits for the inventory with the one before it.
  if (is_at_scene_files() || ui_.dialog == Dialog::kSaveAs) return waiting_meshes_.push_back(path);
  if (document_->path().empty()) {
    // The inventory refers to the mesh by a place beside the scene's file.
    tell("save the scene first: the mesh is copied beside it", false, ui_);
    after_save_ = [this, path] { drop_mesh(path); };
    return ask_file(Dialog::kSaveAs);
  }
  drop_.start(JoinPlace(*document_), path);
  describe_files();
}

void App::take_dropped() {
  if (std::optional<DroppedMesh> dropped = drop_.take()) {
    calm_frames_ = 0;
    join_dropped(std::move(*dropped));
    describe_files();
  }
  if (waiting_meshes_.empty() || is_at_scene_files() || ui_.dialog != Dialog::kNone) return;
  const fs::path next = waiting_meshes_.front();
  waiting_meshes_.erase(waiting_meshes_.begin());
  drop_mesh(next);
}

void App::join_dropped(DroppedMesh dropped) {
  if (!dropped.joined) return report(dropped.joined.error());
  if (!dropped.place.is_of(*document_)) {
    return tell(fmt::format("{} was not joined: another scene or inventory is open now; drop it again",
                            name_of_file(dropped.file)),
                true, ui_);
  }
  JoinedShape& joined = *dropped.joined;
  const std::string shape = joined.command.shape;
  view_.meshes().add(shape, std::move(dropped.shaded));
  edit({std::move(joined.command), kNoGesture});
  joined.files.keep();
  ui_.texts["hold.add.model"] = shape;
  ui_.wanted_side_tab = 0;
  tell(fmt::format("{} is in the inventory: {}", io::in_quotes(shape), joined.summary), false, ui_);
}

}  // namespace steepwright::viewer
