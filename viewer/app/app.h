#pragma once

/// The application behind the window: takes input, draws one frame of panels at a time, does what was asked for.
/// Needs an ImGui context of its own but neither a window nor GL: tests feed the same events as the window does.

#include "viewer/app/background_job.h"
#include "viewer/app/input_queue.h"
#include "viewer/app/mesh_drop.h"
#include "viewer/app/scene_opening.h"
#include "viewer/app/viewport_panel.h"
#include "viewer/document/document.h"
#include "viewer/panels/marks.h"
#include "viewer/panels/palette.h"
#include "viewer/panels/ui_state.h"
#include "viewer/solve/explorer.h"
#include "viewer/solve/solver.h"
#include "viewer/store/autosaver.h"
#include "viewer/store/scene_store.h"
#include "viewer/store/settings.h"
#include "viewer/store/user_folders.h"

#include <chrono>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

struct ImGuiContext;

namespace steepwright::viewer {

struct AppOptions {
  UserFolders folders;
  std::filesystem::path scene;           ///< read beside the drawing; empty: the scene that comes with the program
  render::Renderer* renderer = nullptr;  ///< none: no picture of the scene
  std::function<void()> wake;            ///< called from other threads when there is something to draw
  bool has_marks = false;                ///< note where widgets are
  FirstLook first_look = FirstLook::kFull;
  bool is_quiet = false;  ///< no cautions, no recovery, no settings written: pictures and the like
};

class App {
 public:
  /// Begins to open the scene.
  [[nodiscard]] static Result<std::unique_ptr<App>> make(AppOptions options);
  ~App();
  App(const App&) = delete;
  App& operator=(const App&) = delete;

  /// Waits for the scene that was asked for at first, no longer than `most`. Errors: those of its file, once it is
  /// read.
  [[nodiscard]] Result<void> wait_first_scene(std::chrono::milliseconds most);
  /// The same without waiting.
  [[nodiscard]] const Findings& first_scene_faults() const { return first_faults_; }

  void push(const InputEvent& event) { input_.push(event); }
  /// Files were dropped on the window: a scene is opened, a mesh joined to the inventory.
  void drop_files(const std::vector<std::filesystem::path>& files);
  /// The window's close button was pressed.
  void ask_close();
  /// Size of the window in pixels, and pixels a layout unit.
  void set_display(int width_px, int height_px, float scale);
  /// Called after the font atlas was filled anew: whoever draws uploads it.
  void set_font_handler(std::function<void()> handler) { on_fonts_ = std::move(handler); }

  /// One frame: input, results, panels, commands. Its draw data is ImGui's. Do not call again once is_closed().
  void frame(double dt_s);
  /// Something moves or waits, so that another frame is wanted without new input.
  [[nodiscard]] bool wants_frame() const;
  /// How long it may sleep before the next frame when neither input nor an answer comes; infinite when nothing is due.
  [[nodiscard]] double find_rest_s() const;
  /// A scene, a mesh or a picture is being read or written.
  [[nodiscard]] bool is_at_files() const { return is_at_scene_files() || export_.is_busy(); }
  /// Input is not yet taken up.
  [[nodiscard]] bool wants_input_frame() const { return !input_.empty(); }
  [[nodiscard]] bool is_closed() const { return is_closed_; }

  [[nodiscard]] const Document& document() const { return *document_; }
  [[nodiscard]] const Results& results() const { return results_; }
  [[nodiscard]] const Marks& marks() const { return marks_; }
  [[nodiscard]] const ViewportPanel& view() const { return view_; }
  [[nodiscard]] const Settings& settings() const { return settings_; }
  [[nodiscard]] const UiState& ui_state() const { return ui_; }
  [[nodiscard]] UiState& ui() { return ui_; }
  [[nodiscard]] Settings& settings() { return settings_; }
  [[nodiscard]] ImGuiContext* context() const { return imgui_; }

 private:
  [[nodiscard]] bool is_at_scene_files() const { return opening_.is_busy() || drop_.is_busy() || saving_.is_busy(); }
  App(AppOptions options, Document document);
  [[nodiscard]] PanelContext make_context();

  // app.cpp
  void take_results();
  void advance_time(double dt_s);
  void update_style();
  void draw_windows();
  void draw_panels();
  void solve_and_show();
  void draw_left(float top, float width, float height);
  void draw_right(float top, float left, float width, float height);
  void draw_middle(float top, float left, float width, float height);
  /// True when the stance of an edited scene is asked for.
  bool request_solve();
  void request_exploration();
  [[nodiscard]] bool is_comparison_open() const;
  void keep_unsaved(double dt_s);
  void keep_settings();
  void clamp_selection();

  // app_intents.cpp
  void carry_out(const Intent& intent);
  void edit(const Edit& edit);
  void after_edit();
  void handle_keys();
  void handle_escape();
  void handle_hold_keys();
  void handle_control_keys();
  void handle_view_keys();
  void handle_move_keys();
  void on_key(int key, Intent intent);
  void nudge(double across, double up, bool is_free);

  // app_files.cpp
  void start_recovery();
  void answer_recovery(bool is_wanted);
  /// Has it read, on a thread of its own; what is open stays until then.
  void start_opening(SceneSource source);
  void stop_opening();
  /// Opens what was read, unless something else is going on, or was edited since.
  void take_opened();
  void open_read(ReadScene read);
  void show_opened(ReadScene read);
  void report_unopened(const ReadScene& read);
  void replace_document(OpenedScene opened, const ShadedShapes& shapes);
  void take_shapes(const ShadedShapes& shapes);
  /// Shows what was asked for at first, or, without it, the example.
  void end_first_wait() { ui_.is_awaiting_scene = false; }
  void describe_files();
  /// Has it written, on a thread of its own, after what is being written.
  void save_to(const std::filesystem::path& path);
  /// Somebody else has written the scene's file: told once, the next save replaces it.
  bool is_overtaken(const std::filesystem::path& path);
  void take_saved();
  void ask_file(Dialog dialog);
  /// Has it read, on a thread of its own, after the scene was saved where it has no file yet.
  void drop_mesh(const std::filesystem::path& path);
  /// Joins what was read to the inventory.
  void take_dropped();
  void join_dropped(DroppedMesh dropped);
  /// Draws it; it is written on a thread of its own.
  void export_picture(const ExportPicture& wanted);
  void take_exported();
  /// Does `action` at once, or after the guard of unsaved changes was answered, or what is being written is.
  void guard(std::string question, std::function<void()> action);
  void answer_guard(GuardAnswer answer);
  void report(const Findings& findings);

  AppOptions options_;
  ImGuiContext* imgui_ = nullptr;
  Settings settings_, saved_settings_;
  std::optional<Document> document_;
  Results results_;
  UiState ui_;
  Intents intents_;
  Marks marks_;
  Palette palette_;
  InputQueue input_;
  ViewportPanel view_;
  std::function<void()> on_fonts_;
  int width_px_ = 1400, height_px_ = 900;
  float scale_ = 1.0F, styled_scale_ = 0.0F;
  bool is_style_light_ = false;
  float moves_height_ = 0.0F;
  int calm_frames_ = 0;  ///< frames since the last input or change

  std::function<void()> guarded_;                   ///< what waits for the guard's answer
  std::function<void()> after_save_;                ///< what waits until the scene is in its file
  std::optional<std::filesystem::path> next_save_;  ///< asked for while another is written
  std::optional<FileStamp> stamp_;                  ///< of the scene's file as it was read or written here
  Findings first_faults_;
  std::uint64_t guarded_revision_ = 0;  ///< that may go when what is being opened is there
  std::vector<Leftover> leftovers_;
  std::unique_ptr<Autosaver> autosaver_;
  std::vector<std::filesystem::path> waiting_meshes_;  ///< dropped while another is read
  std::uint64_t kept_revision_ = 0;
  double since_kept_s_ = 0.0;
  std::uint64_t requested_revision_ = 0;
  int requested_move_ = -2, requested_hold_ = -2, requested_site_ = -2;
  /// What was asked of the explorer last, and what the panel asked for.
  struct Asked {
    std::uint64_t revision = 0;
    int move = -2;
    bool has_reach = false, has_comparison = false;
    const move::MoveResult* risk_of = nullptr;
    friend bool operator==(const Asked&, const Asked&) = default;
  } explored_;
  std::uint64_t compared_revision_ = 0;
  int compared_move_ = -1;
  bool is_closed_ = false;
  // Last: their threads stop first.
  SceneOpening opening_;
  MeshDrop drop_;
  BackgroundJob<Result<SavedScene>> saving_;
  BackgroundJob<Result<std::filesystem::path>> export_;
  std::unique_ptr<Solver> solver_;
  std::unique_ptr<Explorer> explorer_;
};

}  // namespace steepwright::viewer
